"""Good practice: what a mechanic insists on beyond what the machine asks for.

The plain plan has decided which operations are done; here is decided in which order. Every rule of the format
page is a file of its own that says, for one job, where it holds and which orders keep it (``rules``); the
table of them stands in ``keep``, in the page's order of priority, which leaves out what no order keeps,
and ``ordering`` asks the engine for the best order that keeps the rest. In the middle of a job ``onward``
says what the rules still ask of what is left.

Everything is told in the order of taking apart. The way back is asked in reversed time, and there its
fitting stands where the removal stands on the way in, so that one sentence says a rule for both ways.
"""
