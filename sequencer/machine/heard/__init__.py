"""How people say and type what holds a part: the grammar of survey, spoken lines and what is found on a job.

``words`` has a line as tokens that keep what was said, ``spelling`` mends dictation, typos and numbers in
words, ``joint`` reads joints out of it. Kinds and heads are those of ``kinds.toml`` and ``heads.toml``.
"""
