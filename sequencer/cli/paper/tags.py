"""``sequencer tags``: bag tags and paired labels."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from sequencer.cli.shared.declared import given, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.jobs import JobChoice, job_of
from sequencer.render.tags.stock import DEFAULT

TagsFile = Annotated[Path, option("-o --output", "FILE", "The PDF to write.")]
StockName = Annotated[
    str,
    typer.Option(
        "--stock",
        metavar="NAME|FILE",
        help="The label sheet: plain-a4, a4-24, letter-10, or a file with its numbers (TOML).",
    ),
]
Kind = Annotated[
    Literal["all", "bags", "pairs"],
    typer.Option("--kind", help="Bag tags, pairs of labels for ends that could be mixed up, or both."),
]
BaseUrl = Annotated[
    str | None,
    option(
        "--base-url",
        "URL",
        "Where the bench page is served: the codes open the step there. Left out: they hold plain words.",
    ),
]


@grouped
def tags(
    output: TagsFile,
    wish: JobChoice,
    stock: StockName = DEFAULT,
    kind: Kind = "all",
    base_url: BaseUrl = None,
) -> None:
    """Print bag tags, and pairs of labels for hoses and plugs.

    Example: sequencer tags models/delivery-van.yaml --off head -o tags.pdf
    """
    from sequencer.cli.shared.output import kind_of, write_output
    from sequencer.document.words import plural
    from sequencer.errors import SequencerError
    from sequencer.render.tags.stock import stock_named
    from sequencer.render.tags.tags import bag_tags, pair_labels, tags_pdf

    kind_of(output, ("pdf",), bare="pdf")
    with given("--stock", stock):
        sheet = stock_named(stock)
    job = job_of(wish, no_refit=True)
    bags = bag_tags(job, base_url) if kind != "pairs" else []
    pairs = pair_labels(job, base_url) if kind != "bags" else []
    if not bags and not pairs:
        raise SequencerError("nothing in this job needs a tag", "a job that undoes fasteners does")
    told = [plural(len(bags), "bag tag")] if bags else []
    told += [plural(len(pairs) // 2, "pair") + " of labels"] if pairs else []
    words = f"{output}: {', '.join(told)}, {sheet.title}"
    write_output(output, tags_pdf(job, [*bags, *pairs], sheet), words)
