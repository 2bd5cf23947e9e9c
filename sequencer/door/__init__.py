"""What a script can call; ``import sequencer`` has the names of its files, each loaded when it is first used.

Every function checks its arguments before it does anything: one of the wrong type is a ``TypeError``, one
that says nothing sensible an ``ArgumentError``, and a fault of a file a ``MachineFileError`` with all its
faults. The last two are ``SequencerError``, as everything is that the caller can mend.
"""
