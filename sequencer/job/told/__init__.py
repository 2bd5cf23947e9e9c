"""What a person says that they did, made into changes of the machine file and ticks.

``job/told/telling.py`` has the act. A line is read by ``spoken``; ``writing`` takes its acts one by one into
a ``Story``: the machine file as it comes, what is ticked, what is noted. Nothing is refused for want of a
schema: what finds no place in the file is kept as a note.
"""
