"""The same data written in as many odd ways as YAML allows in a machine file, chosen by hypothesis."""

import json

from hypothesis import strategies as st

_SAFE = set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789éß水")
COMMENTS = ["  # why", "   # {a: [1, 2}", " #", "  # 'quote", '  # "another: one']


class Writer:
    """Writes data with choices drawn as it goes."""

    def __init__(self, draw):
        self.draw = draw
        self.newline = draw(st.sampled_from(["\n", "\r\n"]))

    def chance(self, of):
        return self.draw(st.integers(1, of)) == 1

    def text(self, value, flow):
        if value is None:
            return self.draw(st.sampled_from(["~", "null"] if flow else ["", "~", "null"]))
        plain = value and set(value) <= _SAFE | set(" .-/") and value[0] in _SAFE and value[-1] in _SAFE
        plain = plain and value not in ("null", "Null", "NULL")
        ways = [json.dumps(value, ensure_ascii=False)]
        if "\n" not in value and "\\" not in value:
            ways.append("'" + value.replace("'", "''") + "'")
        if plain:
            ways += [value] * 6
        return self.draw(st.sampled_from(ways))

    def flow(self, value, pad):
        def gap():
            return self.newline + " " * (pad + 2) if self.chance(5) else " " * self.draw(st.integers(0, 2))

        if isinstance(value, dict):
            pairs = [f"{self.text(k, True)}: {self.flow(v, pad + 2)}" for k, v in value.items()]
        elif isinstance(value, list):
            pairs = [self.flow(v, pad + 2) for v in value]
        else:
            return self.text(value, True)
        left, right = "{}" if isinstance(value, dict) else "[]"
        body = ("," + " ").join(pairs) if not self.chance(2) else ("," + gap()).join(pairs)
        if pairs and self.chance(6):
            body += ","
        return f"{left}{gap() if pairs else ''}{body}{gap() if pairs else ''}{right}"

    def between(self, column):
        lines = []
        if self.chance(6):
            lines.append("")
        if self.chance(5):
            lines.append(" " * self.draw(st.sampled_from([0, column, column + 3])) + "# - a: {comment")
        if self.chance(9):
            lines.append("   ")
        return lines

    def tail(self):
        return self.draw(st.sampled_from(COMMENTS)) if self.chance(3) else ""

    def block(self, value, column):
        """Lines of a mapping or list at ``column``."""
        lines = []
        step = self.draw(st.integers(2, 4))
        if isinstance(value, dict):
            for key, one in value.items():
                lines += self.between(column)
                head = " " * column + self.text(key, False) + (" " if self.chance(9) else "") + ":"
                deeper = column if isinstance(one, list) and self.chance(2) else column + step
                lines += self.under(head, one, column, deeper)
        else:
            for one in value:
                lines += self.between(column)
                if isinstance(one, dict) and one and self.chance(2):
                    body = [line for line in self.block(one, column + 2) if line.strip()]
                    body = body[next(i for i, line in enumerate(body) if line.strip()[0] != "#") :]
                    lines += [" " * column + "- " + body[0][column + 2 :], *body[1:]]
                else:
                    lines += self.under(" " * column + "-", one, column, None)
        return lines

    def under(self, head, one, column, deeper):
        if isinstance(one, str) and deeper is not None and self.chance(8) and _foldable(one):
            mark = self.draw(st.sampled_from(["|-", ">-"]))
            return [f"{head} {mark}{self.tail()}", " " * (column + 3) + one]
        if isinstance(one, dict | list) and one and deeper is not None and not self.chance(2):
            return [head + self.tail(), *self.block(one, deeper)]
        body = self.flow(one, column + 1) if isinstance(one, dict | list) else self.text(one, False)
        return [
            *f"{head} {body}".rstrip().split(self.newline)[:-1],
            f"{head} {body}".rstrip().split(self.newline)[-1] + self.tail(),
        ]


def _foldable(text):
    return (
        bool(text) and text.isprintable() and text == text.strip() and "  " not in text and text[0] in _SAFE
    )


@st.composite
def written(draw, data):
    """``data`` as YAML text."""
    writer = Writer(draw)
    lines = writer.block(data, 0)
    if writer.chance(4):
        lines = ["---", *lines]
    if writer.chance(3):
        lines += ["", "# the end: [", "  # of it"]
    text = writer.newline.join(lines)
    return text if writer.chance(4) else text + writer.newline
