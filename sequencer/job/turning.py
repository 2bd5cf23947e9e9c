"""From taking apart to putting together, and the other way; and targets that come later."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from sequencer.graph.operations import Because
from sequencer.graph.targets import parse_targets
from sequencer.job.changes.bare import more_wishes, without_file
from sequencer.job.changes.finds import put_into
from sequencer.job.changes.machine_copy import digest_of
from sequencer.job.changes.replanning import add_new_plan, refuse_stranded
from sequencer.job.journal.edits import EDITS, MachineFile
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.now.practised import not_kept
from sequencer.job.now.sittings import sittings_past
from sequencer.job.told.catching_up import catch_up
from sequencer.job.told.story import Story
from sequencer.plan.onward.aftermath import backwards
from sequencer.plan.onward.present import Direction
from sequencer.plan.onward.present_back import apart_again
from sequencer.plan.onward.turned import Homeward, plan_back
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Refit
from sequencer.plan.resume import RESHUFFLE_SECONDS, replan


def turn(file: MachineFile) -> Act:
    """Begin the reassembly: of what has really been done, in the state that it really has.

    Where something that ``file`` did not have was told, the order of all that was done goes into it first.
    """

    def act(moment: Moment, _by: By) -> Draft:
        if moment.present.direction is Direction.TOGETHER:
            raise RefusedError(
                "the reassembly has begun already", "turn --apart takes apart again", code="turned"
            )
        if not moment.present.done and not moment.present.owed:
            raise RefusedError("nothing has been taken apart yet", "see next", code="nothing-off")
        draft = Draft()
        sight, changes = _in_order(moment, file, draft)
        prefer = Prefer(moment.card.prefer)
        home = plan_back(sight.machine, moment.targets, moment.present, prefer, practice=moment.practice)
        refuse_stranded(home)
        home = replace(home, refit=_for_sittings(moment, home.refit))
        first = moment.state.highest + 1
        steps = [[first + n, op.name] for n, op in enumerate(home.refit.operations)]
        draft.add(
            EventKind.TURNED,
            {
                "direction": Direction.TOGETHER.value,
                "steps": steps,
                "file": sight.digest,
                "owed": list(moment.present.owed),
                **not_kept(home.refit.practice),
                **changes,
            },
        )
        draft.words += _turned_words(moment, home, first)
        return draft

    return act


def _turned_words(moment: Moment, home: Homeward, first: int) -> Iterator[str]:
    """What is given up by turning, what comes from here on, and what the file had wrong."""
    if moment.unreached:
        yield f"not reached, and given up by turning: {', '.join(moment.unreached)}"
    count, gates = len(home.refit.operations), len(home.refit.gates)
    yield (
        f"from here on it goes back together: {count} steps, {first} to {first + count - 1}, "
        f"{gates} torque gate{'' if gates == 1 else 's'}"
    )
    if known := home.refit.order_known:
        yield (
            f"{known.known} of {known.pairs} orders between parts are known; the rest goes back "
            "as it came off, reversed: answers to a few questions would free most of it"
        )
    told = without_file(moment.card)  # what goes before all else was told late, and nothing was wrong
    yield from (
        f"the file is wrong here, it went without: {reason}"
        for reason in home.disproved
        if not (told and reason.kind is Because.FIRST)
    )


def _for_sittings(moment: Moment, refit: Refit) -> Refit:
    """The way back in the order that the sittings ask for which the job still has."""
    if not moment.card.sittings:
        return refit
    from sequencer.plan.evenings.evenings import in_sittings
    from sequencer.plan.evenings.wish import SittingsWish

    lengths = [Fraction(60 * minutes) for minutes in moment.card.sittings]
    wish = SittingsWish.of(lengths, moment.card.wished).after(len(sittings_past(moment)))
    return in_sittings(refit, wish).plan


def _in_order(moment: Moment, file: MachineFile, draft: Draft) -> tuple[Sight, dict[str, Any]]:
    """The machine with all that was done in its order, and the change of the file, if there is one."""
    if not moment.machine.taken_apart.order or without_file(moment.card):
        return moment.sight, {}
    story = Story(moment, file.path.read_bytes().decode("utf-8"), file.name, file.path.parent)
    catch_up(story)
    if not story.kept.edits:
        return moment.sight, {}
    draft.content = story.content
    draft.sight = Sight(story.machine, digest_of(draft.content))
    return draft.sight, {EDITS: [list(edit) for edit in story.kept.edits], "text": story.diff}


def apart() -> Act:
    """Take apart again in the middle of the reassembly: what was put back is to be done anew."""

    def act(moment: Moment, _by: By) -> Draft:
        if moment.present.direction is Direction.APART:
            raise RefusedError(
                "the job is being taken apart", "turn begins the reassembly", code="not-turned"
            )
        back, _, _ = backwards(moment.machine, moment.targets, moment.present)
        present = apart_again(back, moment.present)
        prefer = Prefer(moment.card.prefer)
        asked = moment.machine, moment.targets, present
        found = replan(*asked, prefer=prefer, go_on=True, practice=moment.practice)
        order = [op.name for op in found.plan.operations]
        gone = [op for op in moment.state.done if op not in present.done] + list(moment.state.back)
        gone += [op for op, tick in moment.state.skipped.items() if tick.back]
        first = moment.state.highest + 1
        draft = Draft()
        draft.add(
            EventKind.TURNED,
            {
                "direction": Direction.APART.value,
                "steps": [[first + n, op] for n, op in enumerate(order)],
                "file": moment.sight.digest,
                "anew": gone,
                "owed": list(present.owed),
                **not_kept(found.plan.practice),
            },
        )
        draft.words.append(
            f"taking apart again: {len(order)} steps, {first} to {first + len(order) - 1}"
            if order
            else "taking apart again: every target is reached"
        )
        draft.words += [f"{target} can't be reached any more: {fault}" for target, fault in found.stuck]
        if present.owed:
            draft.words.append(f"fastened and still without torque: {', '.join(present.owed)}")
        return draft

    return act


def also(
    off: Sequence[str], reach: Sequence[str], file: MachineFile, reshuffle: Fraction = RESHUFFLE_SECONDS
) -> Act:
    """One target more, in the middle of the job; a job without a file takes any part that is named."""

    def act(moment: Moment, _by: By) -> Draft:
        if moment.present.direction is Direction.TOGETHER:
            raise RefusedError(
                "the job is being put together",
                "turn --apart first: then more can be taken off",
                code="apart-first",
            )
        draft, sight, text = Draft(), moment.sight, ""
        wishes, edits = more_wishes(moment.machine, off) if without_file(moment.card) else (off, [])
        if edits:
            sight, text = put_into(draft, file, edits)
        named = parse_targets(sight.machine, wishes, reach)
        fresh = [target for target in named if target not in moment.targets]
        if not fresh:
            raise RefusedError("the job has these targets already", "see status", code="known-targets")
        body = {"off": [t.text for t in named if t.state], "reach": [t.text for t in named if not t.state]}
        draft.add(EventKind.TARGET, {**body, EDITS: edits or None, "text": text or None})
        add_new_plan(
            draft,
            moment,
            f"also {', '.join(str(target) for target in fresh)}",
            sight=sight,
            targets=(*moment.targets, *fresh),
            reshuffle=reshuffle,
        )
        return draft

    return act
