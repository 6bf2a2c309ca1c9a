"""The bench with its sheet of readings: cells one behind the other, parts in one go, and what is still in the set."""

from __future__ import annotations

import re
from functools import singledispatchmethod
from typing import Any

from shop.frame.models import JournalEntry
from shop.handbook.quantities import Kind, Unreadable
from shop.handbook.readings import expect
from shop.handbook.sheet import COLUMN_SETS, columns_of
from tests.bench.stories import acts
from tests.bench.stories.line_pages import LinePages
from tests.bench.stories.player import CHANNELS
from tests.settling import PATIENCE

KINDS = {kind.value for kind in Kind}
VALUE = re.compile(r"([-−+]?[\d.,]+)\s*(.*)")


def short(expected: str, quantity: str) -> str:
    """An expectation in as few letters as the bench understands it in."""
    if not expected or quantity not in KINDS:
        return expected
    kind = Kind(quantity)
    try:
        wanted = expect(expected, kind)
    except Unreadable:  # a target alone
        return expected.replace(" ", "")
    tight = expected.replace("at most ", "<").replace(" to ", "-").replace(" ", "")
    tries = [tight, tight.replace("ohm", ""), tight.replace("Ω", ""), re.sub(r"(V|Hz|A)(?=\W|$)", "", tight)]
    tries += [re.sub(r"(m|k)?(V|Ω|ohm|A)±", r"±", tight), re.sub(r"(\d)[^\d±]*±(.*)[VAF]$", r"\1±\2", tight)]
    best = expected
    for one in tries:
        try:
            if expect(one, kind) == wanted and acts.letters(one, (one,)) < acts.letters(best, (best,)):
                best = one
        except (Unreadable, ValueError):
            continue
    return best


class SheetPages(LinePages):
    """The same bench with its sheet: what has no better way now is done as before."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.above: dict[str, str] = {}

    @singledispatchmethod
    def do(self, act: acts.Act) -> None:  # type: ignore[override]
        """Do one act."""
        super().do(act)

    @do.register
    def _read_strip(self, act: acts.ReadCautions) -> None:
        self.hand.send(self.page.locator(".hazards.is-unread > summary"))

    @do.register
    def _stop(self, act: acts.Pause) -> None:
        pause = self.page.get_by_role("button", name="Pause")
        if act.where and pause.is_visible():
            self.hand.write("#stop-text", act.where)
        elif act.where:
            self._note(act.where)
        if pause.is_visible():
            self.hand.send(pause)

    # --- the sheet ---------------------------------------------------------------------------------------------

    @do.register
    def _cells(self, act: acts.Row) -> None:
        columns = {CHANNELS.get(column, column): value for column, value in act.values.items()}
        self._shut()
        self._repaired(wanted=act.after_repair)
        row = self._row_of(act.place, act.state, columns) or self._new_row(
            act.place,
            act.quantity,
            tuple(columns),
            expected=act.expected,
            against=act.against,
            state=act.state,
        )
        for column, value in columns.items():
            self._cell(row, column, value)
        self._noted()

    @do.register
    def _step(self, act: acts.Adjust) -> None:
        self._shut()
        place = f"{act.step} {act.column}".strip()
        row = self._new_row(
            place, act.quantity, ("before", "after"), expected=act.target, adjuster=act.adjuster, state=None
        )
        self._cell(row, "before", act.before)
        self._cell(row, "after", act.after)
        self._noted()

    def _row_of(self, place: str, state: str, columns: dict[str, str]) -> Any:
        """The row that stands there already, with a cell for each column."""
        rows = self.page.locator("#sheet-rows > [data-row]").filter(
            has=self.page.locator("strong", has_text=re.compile(rf"^\s*{re.escape(place)}\s*$"))
        )
        for at in range(rows.count()):
            row = rows.nth(at)
            how = row.locator("[data-tell=how]").inner_text()
            if (not state or state in how) and all(self._input(row, one).count() for one in columns):
                return row
        return None

    def _input(self, row: Any, column: str) -> Any:
        exact = re.compile(rf"(^|\s){re.escape(column)}\s*$")
        cells = row.locator("[data-cell]")
        if column:
            cells = cells.filter(has=self.page.locator(".sheet-column", has_text=exact))
        return cells.locator(".sheet-input")

    def _new_row(
        self,
        place: str,
        quantity: str,
        columns: tuple[str, ...],
        *,
        expected: str = "",
        against: str = "",
        adjuster: str = "",
        state: str | None = "",
    ) -> Any:
        self._choose("quantity", quantity)
        self._choose_columns(columns)
        self._choose("against", against)
        if state is not None:
            self._choose("state", state)
        self._into("place")
        self._type("place", place)
        wanted = short(expected, quantity)
        if adjuster:
            self._enter()
            self._type("adjuster", adjuster)
            self._enter()
            self._type("expected", wanted, wanted)
        elif expected:
            self._into("expected")
            self._type("expected", wanted, wanted)
        before = self.page.locator("#sheet-rows > [data-row]").count()
        self._enter()
        self.page.locator("#sheet-rows > [data-row]").nth(before).wait_for()
        return self.page.locator("#sheet-rows > [data-row]").nth(before)

    def _type(self, name: str, text: str, *values: str) -> None:
        """Type into a field of the new row; what the row above has as well is a ditto mark."""
        if text and len(text) > 1 and self.above.get(name) == text:
            self.hand.type('"')
        else:
            self.hand.type(text, *values)
        self.above[name] = text

    def _enter(self) -> None:
        self.page.keyboard.press("Enter")
        self.hand.now.touches += 1

    def _into(self, name: str) -> None:
        field = self.page.locator(f'[name="new-0-{name}"]')
        if not field.evaluate("one => one === document.activeElement"):
            self.hand.touch(field)

    def _choose(self, name: str, value: str) -> None:
        """What is kept from the row above costs nothing; a chip costs a touch, other words are typed."""
        field = self.page.locator(f'[name="new-0-{name}"]')
        if field.input_value() == value:
            return
        chip = self.page.locator(f'[data-fills="{name}"] [data-value="{value}"]')
        if chip.count():
            self.hand.touch(chip)
            return
        self._into(name)
        field.select_text()
        self.hand.type(value)

    def _choose_columns(self, columns: tuple[str, ...]) -> None:
        wanted = set(columns)
        there = set(columns_of(self.page.locator('[name="new-0-columns"]').input_value()))
        if there == wanted:
            return
        for typed, _ in COLUMN_SETS:
            if set(columns_of(typed)) == wanted:
                self._choose("columns", typed)
                return
        if len(wanted) > 1 and wanted < there:
            return
        for typed, _ in COLUMN_SETS:
            if typed and wanted < set(columns_of(typed)):
                self._choose("columns", typed)
                return
        self._choose("columns", _as_run(columns))

    def _cell(self, row: Any, column: str, value: str) -> None:
        hand, page = self.hand, self.page
        field = self._input(row, column).first
        if not field.evaluate("one => one === document.activeElement"):
            hand.touch(field)
        number = VALUE.fullmatch(value)
        if row.get_attribute("data-words") == "yes":
            hand.type(value, value)
            self._enter()
            return
        if not page.locator("#pad").is_visible():
            hand.touch(field)
        if value == "OL":
            page.locator('#pad [data-key="OL"]').tap()
        else:
            assert number is not None, value
            for digit in number[1].replace("-", "−"):
                page.locator(f'#pad [data-key="{digit}"]').tap()
            unit = field.locator("xpath=..").locator(".sheet-unit").inner_text()
            if number[2] and number[2] != unit:
                hand.touch(
                    page.locator("#pad [data-unit-key]").filter(
                        has_text=re.compile(rf"^{re.escape(number[2])}$")
                    )
                )
        hand.touch('#pad [data-key="next"]')

    def _noted(self) -> None:
        page = self.page
        self.hand.settling.wait()
        page.locator("body:not(:has(#bench-unsent)):not(:has(.sheet-cell.is-waiting))").wait_for()
        wrong = page.locator(".sheet-cell.is-wrong")
        assert not wrong.count(), wrong.first.inner_text()

    def _repaired(self, *, wanted: bool) -> None:
        box = self.page.locator("#sheet-after")
        if box.is_checked() == wanted or not wanted:
            return
        if not box.is_visible():
            self.hand.touch(".sheet-all > summary")
        self.hand.touch(box)

    def _shut(self) -> None:
        """A panel may stay open: the sheet stands beside it."""

    @do.register
    def _start_kind(self, act: acts.StartClock) -> None:
        self.hand.send(f'.clock-kinds [value="{act.kind}"]')

    @do.register
    def _end(self, act: acts.EndSoak) -> None:
        self.hand.touch(self.page.get_by_role("link", name="End the soak test"))
        if act.result == "passed":  # the story's hours pass in seconds
            self.hand.write("#soak_end-note", "ran all day")
        self.hand.send(f'#soak_end [name="result"][value="{act.result}"]')

    # --- lists and what is in the set ----------------------------------------------------------------------------

    @do.register
    def _put_in(self, act: acts.InTheSet) -> None:
        if not self._open("temporary"):
            self.hand.touch("#temporary-what")
        else:
            self.page.locator("#temporary-what:focus").wait_for()
        self.hand.type(f"{act.what},{act.where}")
        self._sent_by_enter()

    @do.register
    def _back(self, act: acts.PutBack) -> None:
        self.hand.send(self.page.get_by_role("button", name=f"Put back: {act.what}"))

    @do.register
    def _tick(self, act: acts.Checklist) -> None:
        if not self.page.locator("#checklist.is-open").count():
            self.hand.touch(self.page.get_by_role("link", name="Checklists"))
        panel = self.page.locator("#checklist details.checklist").filter(has_text=act.title)
        if panel.get_attribute("open") is None:
            self.hand.touch(panel.locator("summary"))
        for step, why in act.left_out.items():
            line = panel.locator("li.tick").filter(has_text=re.compile(re.escape(step), re.IGNORECASE))
            self.hand.write(line.locator(".tick-word"), why)
        self.hand.send(panel.get_by_role("button", name="All the rest done"))

    @do.register
    def _fit_list(self, act: acts.Fit) -> None:
        self.hand.touch('.bench-dock [data-opens="part"]')
        self.hand.touch('#part [data-opens="list"]')
        self.page.locator("#list-text:focus").wait_for()
        groups: dict[tuple[str, str], list[str]] = {}
        for piece in act.pieces:
            groups.setdefault((piece.what, piece.price), []).append(piece.position)
        entries = [_entry(positions, what, price) for (what, price), positions in groups.items()]
        self.hand.type(",".join(entries), *(f"@{price}" for _, price in groups if price))
        self.hand.send(self.page.locator("#list").get_by_role("button", name="Fit them"))

    @do.register
    def _trace_by_enter(self, act: acts.Trace) -> None:
        hand = self.hand
        opened = self._open("evidence")
        tile = self.page.locator(f'#evidence label:has(input[value="{act.kind}"])')
        if not tile.locator("input").is_checked():
            hand.touch(tile)
            self.page.locator("#evidence-where:focus").wait_for()
        elif not opened and not self.page.locator("#evidence-where:focus").count():
            hand.touch("#evidence-where")
        hand.type(act.where)
        self._enter()
        hand.type(act.marking)
        if act.note:
            hand.write("#evidence-note", act.note)
        self._sent_by_enter()

    @do.register
    def _shoot(self, act: acts.Photograph) -> None:
        hand, page = self.hand, self.page
        if act.marks:
            super().do(act)
            return
        before = page.locator("#record-photos .photos > li").count()
        with page.expect_file_chooser() as chooser:
            opened = page.locator("#photos.is-open").count()
            hand.touch('#photos input[type="file"]' if opened else '.bench-dock [data-opens="photos"]')
        hand.now.touches += 1  # the camera's own release
        chooser.value.set_files(self.shot)
        page.locator("#record-photos .photos > li").nth(before).wait_for()
        page.locator("body:not([aria-busy])").wait_for()
        if not (act.words or act.shows):
            return
        page.locator("#photos-caption:focus").wait_for()
        hand.type(act.words)
        tile = page.locator(f'#photos label:has(input[value="{act.shows}"])')
        if act.shows and not tile.locator("input").is_checked():
            hand.touch(tile)
            hand.send(page.locator("#photos").get_by_role("button", name="Save"))
        else:
            self._sent_by_enter()

    @do.register
    def _conclude_by_enter(self, act: acts.Conclude) -> None:
        hand, page = self.hand, self.page
        hand.touch(page.get_by_role("link", name="Write the conclusion"))
        page.locator("#conclusion-failed:focus").wait_for()
        hand.type(act.failed)
        self._enter()
        hand.type(act.position)
        hand.touch(f'#conclusion label:has(input[value="{act.mode}"])')
        page.locator("#conclusion-remedy:focus").wait_for()
        hand.type(act.remedy)
        if act.watch:
            hand.write("#conclusion-watch", act.watch)
        hand.send(page.locator("#conclusion").get_by_role("button", name="Save the conclusion"))

    def _sent_by_enter(self) -> None:
        """Enter in the last field sends; wait until it stands in the book."""
        before = JournalEntry.objects.count()
        self._enter()
        for _ in range(PATIENCE):
            if JournalEntry.objects.count() > before:
                break
            self.page.wait_for_timeout(20)
        else:
            raise AssertionError(self.page.inner_text("main")[:1500])
        self.page.locator("body:not([aria-busy]):not(:has(#bench-unsent))").wait_for()
        self.hand.settling.wait()


DESIGNATOR = re.compile(r"[A-Z]{1,4}\d{1,5}[A-Za-z]?")


def _entry(positions: list[str], what: str, price: str) -> str:
    """Parts of one kind as they are typed on a list."""
    at = " ".join(positions)
    told = f"{at} {what}" if all(DESIGNATOR.fullmatch(one) for one in positions) else f"{at}:{what}"
    return f"{told}@{price}" if price else told


def _as_run(columns: tuple[str, ...]) -> str:
    """V5 to V8 as a run, other names with blanks between them."""
    first, last = columns[0], columns[-1]
    run = f"{first}-{last}"
    try:
        if columns_of(run) == columns:
            return run
    except ValueError:
        pass
    return " ".join(one.replace(" ", "_") for one in columns)
