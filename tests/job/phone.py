"""A phone that is paired with a job: what is said on it goes through the page, and means the same."""

from dataclasses import dataclass, replace

from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page_of
from sequencer.bench.page import Bench
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.journal.folder import find_job
from tests.support.door import HERE, Door

OK, REFUSED = 200, 409
PAGES = ("/", "/overview", "/diagram", "/record", "/log")
_AS_IT_IS = {"anyway", "angle", "wrench", "fasteners", "stages"}


@dataclass
class Answer:
    """What the page said to an act that it took."""

    words: tuple[str, ...]


class Phone:
    """It has a desk of its own, as a server beside a terminal has."""

    def __init__(self, job, folder):
        sessions = Sessions(folder / "devices.json")
        self.desk = Desk(replace(find_job(job), bare=True))
        self.door = Door(page_of(Bench(self.desk, sessions, HERE)), sessions)
        self.disk = str(job)

    def close(self):
        self.door.close()
        self.desk.close()

    def look(self):
        """The page's pages answer."""
        for path in PAGES:
            answer = self.door.ask("GET", path)
            assert answer.status_code == OK, (path, answer.text[:400])
            assert self.disk not in answer.text, path

    def say(self, form, by):
        """Post a form; a refusal is raised as a desk would raise it."""
        path, fields = form
        files = {"files": {"photo": ("a.png", fields.pop("photo"))}} if "photo" in fields else {}
        fields = {**fields, "time": by.time.isoformat()}
        answer = self.door.post(path, fields, headers={"Accept": "application/json"}, **files)
        assert answer.status_code in (OK, REFUSED), (path, fields, answer.text[:400])
        assert self.disk not in answer.text, "no way on the server's disk is a phone's business"
        if answer.status_code == REFUSED:
            raise SequencerError(answer.json()["problem"])
        return Answer(tuple(answer.json()["words"]))


def form_of(state, act, args, words):
    """The route and the fields by which the page is told an act of the desk; None: it has no such door."""
    maker = _FORMS.get(act)
    return maker(state, *args, **words) if maker else None


def _done(_state, selection, *, torque=None, **more):
    if not isinstance(selection, list):
        return None
    fields = {key: value for key, value in more.items() if value}
    if torque is None and not _AS_IT_IS.intersection(fields) - {"anyway"}:
        return "/tick", {"op": selection, **fields}
    if len(selection) > 1:
        return None
    value, _, unit = (torque or "").partition(" ")
    return "/gate", {"op": selection[0], "value": value, "unit": unit, **fields}


def _undo(state, which):
    if isinstance(which, int):
        op = next((op for op in {**state.ticks, **state.skipped} if state.number(op) == which), None)
        return ("/untick", {"op": op}) if op else None
    return "/undo", {"event": which or ""}


def _found(_state, find, _on):
    if "behind" in find.said:
        return None
    ((how, (where,)),) = find.said.items()
    held = ", ".join(find.held)
    return "/found", {"blocks": where, "what": find.what, "how": how, "state": find.state, "held": held}


_FORMS = {
    "done": _done,
    "undo": _undo,
    "found": _found,
    "skip": lambda _state, ops, why: ("/skip", {"op": ops[0], "why": why}),
    "note": lambda _state, text, ops: ("/note", {"text": text, "op": ops[0] if ops else ""}),
    "photo": lambda _state, ops, content: ("/photo", {"photo": content, "op": ops[0] if ops else ""}),
    "trouble": lambda _state, joint, state, _on: ("/trouble", {"joint": joint, "state": state}),
    "also": lambda _state, parts: ("/also", {"part": parts[0]}),
    "turn": lambda _state, *, apart: ("/turn", {"apart": "yes" if apart else ""}),
    "stop": lambda _state, why="", way=None: ("/stop", {"why": why, "way": way.value if way else ""}),
    "evening": lambda _state, time: ("/tonight", {"have": time}),
    "resume": lambda _state: ("/resume", {}),
}
