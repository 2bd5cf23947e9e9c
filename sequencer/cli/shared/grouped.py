"""Options that several commands share, written once: a dataclass whose fields are options."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterator
from dataclasses import MISSING, fields, is_dataclass
from typing import Any, get_type_hints


def grouped(command: Callable[..., None]) -> Callable[..., None]:
    """The command with the fields of its groups for parameters, each where its group stands.

    A group is a parameter that is annotated with a dataclass. The fields' annotations are typer's, their
    defaults the options' defaults; the command itself is given the dataclass.
    """
    hints = get_type_hints(command, include_extras=True)
    groups: dict[str, Any] = {name: hint for name, hint in hints.items() if is_dataclass(hint)}
    parameters: list[inspect.Parameter] = []
    for name, parameter in inspect.signature(command).parameters.items():
        if name in groups:
            parameters += _options(groups[name])
        else:
            parameters.append(parameter.replace(annotation=hints[name], kind=inspect.Parameter.KEYWORD_ONLY))

    @functools.wraps(command)
    def expanded(**given: object) -> None:
        for name, group in groups.items():
            given[name] = group(**{one.name: given.pop(one.name) for one in fields(group)})
        command(**given)

    del expanded.__wrapped__  # its signature is not this one's
    expanded.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    expanded.__annotations__ = {one.name: one.annotation for one in parameters}
    return expanded


def _options(group: Any) -> Iterator[inspect.Parameter]:  # noqa: ANN401 - a dataclass
    hints = get_type_hints(group, include_extras=True)
    for one in fields(group):
        default = one.default
        if one.default_factory is not MISSING:
            default = one.default_factory()
        elif default is MISSING:
            default = inspect.Parameter.empty
        yield inspect.Parameter(
            one.name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=hints[one.name]
        )
