"""What a plan rests on without anyone having looked, which look is worth its minute, and what to check before a lift.

The chances are by kind of part (``data/looks.toml``, our own judgement, common practice) until the person's own record replaces them.
"""
