"""All traces of one unit together: when it was built, which parts are original, when it was worked on before.

Sources
    How traces narrow the build window and the date of the earlier work: arithmetic of intervals over the steps of
    ``judgement``; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ..datecodes.candidates import in_full
from ..in_words import listed
from .contradictions import Contradiction, Statement, contradictions, no_way_out, statements
from .evidence import Evidence, Mark, Window, either, in_words, span_in_words
from .judgement import Judgement, Verdict, judge


@dataclass(frozen=True, slots=True)
class EarlierWork:
    """Work on the unit before it came here: the days between which it was done, and the traces that say so.

    With a label, ``parts`` are those that can have been fitted then; without one, those that no label explains, and
    ``first`` is the day before which the last of them can't have been fitted.
    """

    first: date
    last: date
    label: Evidence | None
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Story:
    """What the dated traces of one unit tell together.

    ``built`` is the build window narrowed by stamps, labels and untouched parts. ``not_before`` is narrower still and
    holds if the parts judged original are the first ones. ``sentences`` are none, one or two, for the job card.
    """

    built: Window
    not_before: date | None
    judgements: tuple[tuple[Evidence, Judgement], ...]
    works: tuple[EarlierWork, ...]
    contradictions: tuple[Contradiction, ...]
    sentences: tuple[str, ...]


def narrowed(built: Window, traces: Sequence[Evidence]) -> Window:
    """The build window cut by every trace that bounds it, as far as its readings agree with the others.

    Traces that contradict the window in all their readings are left out, and then those of the rest that contradict
    one another so; they are reported instead.
    """
    window = [Statement("", built)]
    said = [spoken for spoken in map(statements, traces) if spoken and not no_way_out(spoken, window)]
    usable = [one for one in said if not any(no_way_out(one, other) for other in said if other is not one)]
    current = built
    while True:
        cut = current
        for spoken in usable:
            fitting = [cut.cut(statement.bound) for statement in spoken if cut.meets(statement.bound)]
            if not fitting:  # each two traces agree, but not all of them in any one reading
                return built
            cut = _hull(fitting)
        if cut == current:
            return current
        current = cut


def story(built: Window, traces: Sequence[Evidence], today: date) -> Story:
    """Judge every part against the narrowed build window and put the earlier work together from labels and parts."""
    window = narrowed(built, traces)
    parts = tuple(
        (trace, judge(window, trace.candidates, today, trace.name))
        for trace in traces
        if trace.mark is Mark.PART
    )
    works = _works(window, traces, parts, today)
    clashes = contradictions(built, traces)
    not_before = _not_before(window, parts)
    sentences: tuple[str, ...] = ()
    if traces:
        first = _of_the_build(window, not_before, parts)
        sentences = (first, _of_the_work(works, parts, clashes))
    return Story(window, not_before, parts, works, clashes, sentences)


def _hull(windows: Sequence[Window]) -> Window:
    firsts = [window.first for window in windows]
    lasts = [window.last for window in windows]
    known_firsts = [day for day in firsts if day]
    known_lasts = [day for day in lasts if day]
    return Window(
        min(known_firsts) if len(known_firsts) == len(firsts) else None,
        max(known_lasts) if len(known_lasts) == len(lasts) else None,
    )


def _not_before(built: Window, parts: Sequence[tuple[Evidence, Judgement]]) -> date | None:
    """The day before which the youngest part judged original was not made, where the window does not say as much."""
    made = [
        min(candidate.earliest for candidate in judgement.read_as(Verdict.ORIGINAL))
        for _, judgement in parts
        if judgement.verdict is Verdict.ORIGINAL
    ]
    youngest = max(made, default=None)
    return youngest if youngest and built.first and youngest > built.first else None


def _works(
    built: Window, traces: Sequence[Evidence], parts: Sequence[tuple[Evidence, Judgement]], today: date
) -> tuple[EarlierWork, ...]:
    """One work for each repair label with the parts it can explain, and one for the parts too young for any label."""
    labelled = sorted(_labelled(built, traces), key=lambda work: (work.last, work.first))
    unexplained: list[tuple[str, date]] = []
    for trace, judgement in parts:
        if judgement.verdict is not Verdict.LATER or trace.untouched or not judgement.earliest:
            continue
        for place, work in enumerate(labelled):
            if judgement.earliest <= work.last:
                labelled[place] = replace(work, parts=(*work.parts, trace.name))
                break
        else:
            unexplained.append((trace.name, judgement.earliest))
    if unexplained:
        first = max(earliest for _, earliest in unexplained)
        labelled.append(EarlierWork(first, today, None, tuple(name for name, _ in unexplained)))
    return tuple(labelled)


def _labelled(built: Window, traces: Sequence[Evidence]) -> Iterator[EarlierWork]:
    for trace in traces:
        if trace.mark is not Mark.REPAIR_LABEL:
            continue
        fitting = [one for one in trace.candidates if not (built.first and one.latest < built.first)]
        if fitting:
            first, last = min(one.first for one in fitting), max(one.last for one in fitting)
            yield EarlierWork(first, last, trace, ())


def _of_the_build(built: Window, not_before: date | None, parts: Sequence[tuple[Evidence, Judgement]]) -> str:
    clauses = [f"Built {built}" if built.first or built.last else "When the unit was built is not known"]
    original = [trace.name for trace, judgement in parts if judgement.verdict is Verdict.ORIGINAL]
    older = [trace.name for trace, judgement in parts if judgement.verdict is Verdict.OLDER]
    if original:
        clauses.append(f"{listed(original)} can be original")
    if not_before:
        clauses.append(f"if so, not built before {in_full(not_before)}")
    if older:
        clauses.append(f"{listed(older)} {'is' if len(older) == 1 else 'are'} older stock or misread")
    return "; ".join(clauses) + "."


def _of_the_work(
    works: Sequence[EarlierWork],
    parts: Sequence[tuple[Evidence, Judgement]],
    clashes: Sequence[Contradiction],
) -> str:
    clauses = [_of_one_work(work) for work in works]
    undecided = [trace.name for trace, judgement in parts if judgement.verdict is Verdict.OPEN]
    if undecided:
        clauses.append(f"{listed(undecided)} may be original or not")
    if len(clashes) == 1:
        clauses.append(f"{clashes[0].early} and {clashes[0].late} contradict each other")
    elif clashes:
        only_some = "" if any(clash.settled for clash in clashes) else ", in some readings only"
        clauses.append(f"{len(clashes)} contradictions between the dates{only_some}")
    if not clauses:
        return "No date here points to earlier work."
    return ("Earlier work: " if works else "Earlier work is not proven: ") + "; ".join(clauses) + "."


def _of_one_work(work: EarlierWork) -> str:
    names = listed(work.parts)
    if work.label is None:
        were = "was" if len(work.parts) == 1 else "were"
        spell = f"between {in_full(work.first)} and {in_full(work.last)}"
        return f"{names} {were} made after the unit and fitted {spell}"
    dates = [
        in_words(one) for one in work.label.candidates if work.first <= one.first and one.last <= work.last
    ]
    when = either(dates) if len(dates) <= 3 else span_in_words(work.first, work.last, "between {} and {}")
    return f"{work.label.name} dates it to {when}" + (f", when {names} can have been fitted" if names else "")
