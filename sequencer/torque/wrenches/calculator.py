"""Calculators for one joint at the bench: a conversion, a judgement, an adapter. One screen each, no file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from sequencer.quantities import TorqueQuantity, parse_torque, parse_torque_unit
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.guard.judgement import Judgement
from sequencer.torque.guard.judging import judge
from sequencer.torque.guard.report import judgement_lines
from sequencer.torque.guard.use import FASTENER, Use
from sequencer.torque.show import show_both, show_torque
from sequencer.torque.wrenches.wrench import Adapter, Wrench, WrenchChoice, adapter_setting, choose_wrench


@dataclass(frozen=True)
class BenchAnswer:
    """What a calculator answers.

    Attributes:
        torque: The torque that was asked about; ``None`` where only a range was asked for.
        unit: The unit to show torques in; ``None`` shows them as written.
        judgement: What the guard says, where a thread or a class was given.
        setting_nm: What to set the wrench to in N·m, where an adapter was given.
        adapter: That adapter.
        wrench_mm: The wrench's length that the setting holds for.
        choice: The owned wrench that serves, set on its own scale, where a toolbox was given.
    """

    torque: TorqueQuantity | None
    unit: str | None = None
    judgement: Judgement | None = None
    setting_nm: Fraction | None = None
    adapter: Adapter | None = None
    wrench_mm: Fraction | None = None
    choice: WrenchChoice | None = None

    @property
    def is_error(self) -> bool:
        """Whether the torque is one that the guard refuses."""
        return self.judgement is not None and self.judgement.is_error

    def lines(self) -> list[str]:
        """The answer as lines of text for one screen."""
        lines = []
        if self.torque is not None and (self.judgement is None or self.unit is not None):
            lines.append(show_both(self.torque, self.unit))
        if self.setting_nm is not None:
            lines.append(self._setting_words())
        if self.choice is not None:
            serves = "wrench" if self.choice.served else "no owned wrench serves"
            lines.append(f"{serves}: {self.choice.message}")
            lines += self.choice.setting.cautions if self.choice.setting else ()
        return [*lines, *(judgement_lines(self.judgement) if self.judgement else ())]

    @property
    def shown_unit(self) -> str:
        """The unit to show torques in: that asked for, or the torque's own."""
        if self.unit is not None:
            return self.unit
        return "N.m" if self.torque is None else self.torque.unit

    def _setting_words(self) -> str:
        if self.setting_nm is None or self.adapter is None or self.wrench_mm is None or self.torque is None:
            return ""
        long, wrench = float(self.adapter.length_mm), float(self.wrench_mm)
        angle = {0.0: "along the wrench", 90.0: "across it", 180.0: "back towards the grip"}.get(
            self.adapter.degrees, f"at {self.adapter.degrees:g} deg to the wrench"
        )
        return (
            f"set the wrench to {show_torque(self.setting_nm, self.shown_unit)} "
            f"for {self.torque.converted(self.shown_unit)} at the fastener: "
            f"adapter {long:g} mm, {angle}; wrench {wrench:g} mm from the middle of the grip"
        )


@dataclass(frozen=True)
class Owned:
    """The torque wrenches of a toolbox, and the day by which their calibration is judged."""

    wrenches: Sequence[Wrench]
    today: date


def bench(
    torque: str | None,
    *,
    to: str | None = None,
    thread: str | None = None,
    property_class: str | None = None,
    friction: str | None = None,
    engaged_in: str | None = None,
    engagement: str | None = None,
    use: Use = FASTENER,
    adapter_mm: Fraction | None = None,
    adapter_degrees: float = 0.0,
    wrench_mm: Fraction | None = None,
    owned: Owned | None = None,
) -> BenchAnswer:
    """Answer one question at the bench; all words as a person types them, lengths in mm.

    With ``owned`` wrenches an adapter goes by the length of the one that serves.

    Raises:
        QuantityError: A quantity without its unit, or that can't be read.
        FastenerError: Nothing to work out, or an adapter without the wrench's length.
    """
    read = None if torque is None else parse_torque(torque)
    unit = None if to is None else parse_torque_unit(to)
    if read is None and not (thread and (property_class or use.seals)):
        raise FastenerError(
            "there is nothing to work out",
            "give a torque, as in 106in-lb --to N.m, or --thread M8 --class 8.8",
        )
    judgement = None
    words = (thread, property_class, friction, engaged_in, engagement)
    if use is not FASTENER or any(word is not None for word in words):
        judgement = judge(
            [] if read is None else [read],
            thread,
            property_class,
            friction=friction,
            engaged_in=engaged_in,
            engagement=engagement,
            use=use,
        )
    answer = BenchAnswer(read, unit, judgement)
    if adapter_mm is None and adapter_degrees != 0:
        raise FastenerError(
            "an angle says nothing without an adapter", "give --adapter with its length, or leave --angle out"
        )
    adapter = None if adapter_mm is None else Adapter(adapter_mm, adapter_degrees)
    return _with_wrench(answer, adapter, wrench_mm, owned)


def _with_wrench(
    answer: BenchAnswer, adapter: Adapter | None, wrench_mm: Fraction | None, owned: Owned | None
) -> BenchAnswer:
    """The answer with the owned wrench that serves, and with the setting for a wrench of a length.

    For a torque that the guard refuses there is neither: nobody is told how to set it.
    """
    torque = answer.torque
    if answer.is_error:
        return answer
    if owned is not None and torque is not None:
        choice = choose_wrench(owned.wrenches, torque.newton_metres, owned.today, adapter=adapter)
        answer = replace(answer, choice=choice)
    if adapter is None or (answer.choice is not None and wrench_mm is None):
        return answer
    if torque is None or wrench_mm is None:
        length = "the wrench's length from the middle of the grip to the square drive"
        raise FastenerError(
            f"an adapter needs {'a torque' if torque is None else length}",
            "give --torque, --adapter and --wrench-length together",
        )
    setting = adapter_setting(torque.newton_metres, wrench_mm, adapter)
    return replace(answer, setting_nm=setting, adapter=adapter, wrench_mm=wrench_mm)
