"""The bench as it stood at 3ea049f: a line at a time, each by a form of its own.

What these pages have no place for is told in words, as a finding: `_in_words` is that list.
"""

from __future__ import annotations

import re
from functools import singledispatchmethod
from pathlib import Path
from typing import Any

from django.urls import reverse

from shop.counter.models import Job
from shop.handbook.quantities import Kind
from tests.bench.page_cases import jpeg
from tests.bench.stories import acts
from tests.bench.stories.hand import Hand
from tests.bench.stories.player import CHANNELS

KINDS = {kind.value for kind in Kind}


class LinePages:
    """One form for each line: its panel is opened by the dock and stays open for the next of its kind."""

    def __init__(self, hand: Hand, story: acts.Story, job: Job, folder: Path) -> None:
        self.hand, self.page, self.job = hand, hand.page, job
        self.known = {(one.place, one.column): one for one in story.known}
        self.drawers = {one.number for one in story.stock}
        self.shot = folder / "shot.jpg"
        self.shot.write_bytes(jpeg())

    @singledispatchmethod
    def do(self, act: acts.Act) -> None:
        """Do one act."""
        raise NotImplementedError(f"How is {act} done on these pages?")

    # --- coming and going -----------------------------------------------------------------------------------

    @do.register
    def _come_back(self, act: acts.ComeBack) -> None:
        self.page.goto(reverse("bench:bench"))
        self.hand.touch(self.page.get_by_role("link", name=self.job.number))
        self.page.locator(".bench-dock").wait_for()

    @do.register
    def _read(self, act: acts.ReadCautions) -> None:
        self.hand.send(self.page.get_by_role("button", name="I have read"))

    @do.register
    def _start(self, act: acts.StartClock) -> None:
        pause = self.page.get_by_role("button", name="Pause")
        if pause.is_visible():
            self.hand.send(pause)
        if self.page.locator("#start-kind").input_value() != act.kind:
            self.hand.choose("#start-kind", act.kind)
        self.hand.send(self.page.get_by_role("button", name=re.compile("Go on|Start the clock")))

    @do.register
    def _pause(self, act: acts.Pause) -> None:
        if act.where:
            self._note(f"Stopped: {act.where}")
        pause = self.page.get_by_role("button", name="Pause")
        if pause.is_visible():
            self.hand.send(pause)

    # --- readings -------------------------------------------------------------------------------------------

    @do.register
    def _row(self, act: acts.Row) -> None:
        if act.quantity not in KINDS:
            self._note(act.in_words, *act.values.values(), act.expected)
            return
        for column, value in act.values.items():
            self._reading(act, column, value)

    @do.register
    def _adjust(self, act: acts.Adjust) -> None:
        """Before and after are two readings of one place, with what is wanted there; their order tells the order."""
        if act.quantity not in KINDS:
            self._note(act.in_words, act.before, act.target, act.after)
            return
        for state, value in (("before", act.before), ("adjusted", act.after)):
            row = acts.Row(
                f"{act.step}, {act.adjuster}",
                act.quantity,
                {act.column: value},
                expected=act.target,
                state=state,
            )
            self._reading(row, act.column, value)

    def _reading(self, row: acts.Row, column: str, value: str) -> None:
        hand, known = self.hand, self.known.get((row.place, column))
        self._open("reading")
        if known is not None:
            hand.touch(self._tile(known))
        else:
            self._another_place(row, column)
        self._particulars(row, column, known)
        self._press(value)
        hand.send("#reading .key-done")

    def _tile(self, known: acts.Known) -> Any:
        tiles = self.page.locator(
            f'#reading label.tile:has([data-channel="{CHANNELS.get(known.column, "")}"])'
        )
        return tiles.filter(has_text=known.place)

    def _another_place(self, row: acts.Row, column: str) -> None:
        where = row.place if column in {"", *CHANNELS} else f"{row.place} {column}"
        hand = self.hand
        if self.known:
            hand.touch('#reading label:has-text("Another place")')
            self.page.locator("#reading-where:focus").wait_for()
        else:
            hand.touch("#reading-where")
        hand.type(f"{where} to {row.against}" if row.against else where)
        quick = self.page.locator(f'.keypad-quick [data-quantity="{row.quantity}"]')
        if quick.count():
            hand.touch(quick)
        else:
            hand.choose("#reading-quantity", row.quantity)
        if row.expected:
            hand.write("#reading-expected", row.expected, row.expected)

    def _particulars(self, row: acts.Row, column: str, known: acts.Known | None) -> None:
        """State and channel lie behind a fold, unless the test point brings them along."""
        state = "" if known is not None and known.state == row.state else row.state
        channel = CHANNELS.get(column, "") if known is None else ""
        after = row.after_repair and not self.page.locator("#reading-after_repair").is_checked()
        if not (state or channel or after):
            return
        fold = self.page.locator("#reading details.more")
        if fold.get_attribute("open") is None:
            self.hand.touch(fold.locator("summary"))
        if state:
            self.hand.write("#reading-condition", state)
        if channel:
            self.hand.choose("#reading-channel", channel)
        if after:
            self.hand.touch('#reading label[for="reading-after_repair"]')

    def _press(self, value: str) -> None:
        """The digits on the keypad, which don't count, and the unit where another one stands there."""
        if value == "OL":
            self.page.locator('#reading [data-key="OL"]').tap()
            return
        number, _, unit = value.replace("-", "−").partition(" ")
        for digit in number:
            self.page.locator(f'#reading [data-key="{digit}"]').tap()
        key = self.page.locator(f'#reading .keypad-units [data-unit="{unit}"]')
        if key.get_attribute("aria-pressed") != "true":
            self.hand.touch(key)

    # --- words -----------------------------------------------------------------------------------------------

    @do.register
    def _finding(self, act: acts.Finding) -> None:
        self._note(act.text)

    @do.register(acts.Sketch | acts.Clip | acts.Checklist | acts.Paper | acts.InTheSet | acts.PutBack)
    def _in_words(self, act: acts.Act) -> None:
        """No place of their own: told as a finding."""
        match act:
            case acts.Checklist():
                left = "".join(f"; not done: {step}, {why}" for step, why in act.left_out.items())
                self._note(act.said + left)
            case acts.Sketch() | acts.Clip():
                self._note(act.said)
            case acts.Paper():
                self._note(f"{act.title}, page {act.page}" + (f": {act.pinned_at}" if act.pinned_at else ""))
            case acts.InTheSet():
                self._note(f"Temporary: {act.what}, {act.where}")
            case acts.PutBack():
                self._note(f"Put back: {act.what}, {act.where}")

    def _note(self, text: str, *values: str) -> None:
        if not self._open("finding"):
            self.hand.touch("#finding-text")
        self.hand.type(text, *values)
        self.hand.send(self.page.locator("#finding").get_by_role("button", name="Note it"))

    @do.register
    def _trace(self, act: acts.Trace) -> None:
        hand = self.hand
        self._open("evidence")
        if act.kind != "date_code":
            hand.touch(f'#evidence label:has(input[value="{act.kind}"])')
        hand.write("#evidence-where", act.where)
        if act.marking:
            hand.write("#evidence-marking", act.marking)
        if act.note:
            hand.write("#evidence-note", act.note)
        hand.send(self.page.locator("#evidence").get_by_role("button", name="Note it"))

    @do.register
    def _take_back(self, act: acts.TakeBack) -> None:
        written = self.page.locator("#bench-record summary").filter(has_text=act.words)
        self.hand.touch(written)
        self.hand.touch(self.page.locator("details[open]").get_by_role("link", name="Strike out"))
        self.hand.send(self.page.get_by_role("button", name=act.why))

    # --- parts and pictures --------------------------------------------------------------------------------

    @do.register
    def _fit(self, act: acts.Fit) -> None:
        for piece in act.pieces:
            self._open("part")
            self._part("part", piece.what, piece.drawer)
            self.hand.write("#part-position", piece.position)
            if piece.price:
                self.hand.write("#part-unit_price", piece.price, piece.price)
            button = self.page.locator("#part").get_by_role("button", name="Fit it")
            if not self.hand.tapped_and_taken(button):
                # the drawers hold something like it: then the words are to be taken as they stand
                self.hand.touch('#part label[for="part-free"]')
                self.hand.send(self.page.locator("#part").get_by_role("button", name="Fit it"))

    @do.register
    def _want(self, act: acts.Want) -> None:
        self.hand.touch(self.page.get_by_role("link", name="Order a part"))
        self._part("want", act.what, "")
        self.hand.send(self.page.locator("#want").get_by_role("button", name="Put it on the order list"))

    def _part(self, panel: str, what: str, drawer: str) -> None:
        if drawer:
            # the drawers are looked through by 47u; in 47u50 they would see 47.50 µF
            what = re.sub(r"(?<=[pnu])\d{2,}$", "", what)
        self.hand.write(f"#{panel}-drawer", what)
        # they are looked through a moment after the last letter
        self.page.wait_for_timeout(300)
        self.hand.settling.wait()
        tiles = self.page.locator(f"#{panel} [data-offer-list] label.tile")
        if drawer and tiles.count() != 1:
            self.hand.touch(tiles.filter(has_text=drawer))

    @do.register
    def _photograph(self, act: acts.Photograph) -> None:
        hand, page = self.hand, self.page
        before = page.locator("#record-photos .photos > li").count()
        opened = page.locator("#photos.is-open").count()
        with page.expect_file_chooser() as chooser:
            hand.touch('#photos input[type="file"]' if opened else '.bench-dock [data-opens="photos"]')
        hand.now.touches += 1  # the camera's own release
        chooser.value.set_files(self.shot)
        page.locator("#record-photos .photos > li").nth(before).wait_for()
        page.locator("body:not([aria-busy])").wait_for()
        if not (act.words or act.shows or act.marks):
            return
        hand.touch("#record-photos .photos > li a")
        page.locator("[data-board] img").wait_for()
        for at, shape in enumerate(act.marks):
            self._draw(shape, at)
        if act.words:
            hand.write('[name="caption"]', act.words)
        if act.shows:
            hand.touch(f'label:has(input[name="shows"][value="{act.shows}"])')
        hand.send(page.get_by_role("button", name="Save the photo"))
        page.locator(".bench-dock").wait_for()

    def _draw(self, shape: str, at: int) -> None:
        button = self.page.locator(f'[data-shape="{shape}"]')
        if button.get_attribute("aria-pressed") != "true":
            self.hand.touch(button)
        self.page.locator("[data-board]").scroll_into_view_if_needed()
        box = self.page.locator("[data-board] img").bounding_box()
        x, y = box["x"] + box["width"] * (0.3 + 0.1 * at), box["y"] + box["height"] * 0.3
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + box["width"] * 0.2, y + box["height"] * 0.2, steps=3)
        self.page.mouse.up()
        self.hand.now.touches += 1

    # --- to the end ------------------------------------------------------------------------------------------

    @do.register
    def _conclude(self, act: acts.Conclude) -> None:
        hand = self.hand
        hand.touch(self.page.get_by_role("link", name="Write the conclusion"))
        hand.write("#conclusion-failed", act.failed)
        hand.write("#conclusion-position", act.position)
        hand.touch(f'#conclusion label:has(input[value="{act.mode}"])')
        hand.write("#conclusion-remedy", act.remedy)
        if act.watch:
            hand.write("#conclusion-watch", act.watch)
        hand.send(self.page.locator("#conclusion").get_by_role("button", name="Save the conclusion"))

    @do.register
    def _soak(self, act: acts.Soak) -> None:
        self.hand.touch(self.page.get_by_role("link", name="Put it on soak test"))
        if self.page.locator("#soak-hours").input_value() != act.hours:
            self.hand.touch("#soak-hours")
            self.page.locator("#soak-hours").fill(act.hours)
        self.hand.send(self.page.locator("#soak").get_by_role("button", name="Start the soak test"))
        self.page.locator("#soak-bar").wait_for()

    @do.register
    def _look(self, act: acts.Look) -> None:
        self.hand.touch(self.page.get_by_role("link", name="Log a check"))
        if act.temperature:
            self.hand.write("#soak_check-temperature", act.temperature, act.temperature)
        if act.offset:
            self.hand.write("#soak_check-dc_offset", act.offset, act.offset)
        if act.note:
            self.hand.write("#soak_check-note", act.note)
        self.hand.send(self.page.locator("#soak_check").get_by_role("button", name="Note it"))

    @do.register
    def _end_soak(self, act: acts.EndSoak) -> None:
        self.hand.touch(self.page.get_by_role("link", name="End the soak test"))
        self.hand.touch(f'#soak_end label:has(input[value="{act.result}"])')
        if act.result == "passed":  # the story's hours pass in seconds
            self.hand.write("#soak_end-note", "ran all day")
        self.hand.send(self.page.locator("#soak_end").get_by_role("button", name="End it"))

    # --- one panel at a time -----------------------------------------------------------------------------------

    def _open(self, panel: str) -> bool:
        """Open a panel by its door in the dock, unless it is open; whether it had to be."""
        if self.page.locator(f"#{panel}.is-open").count():
            return False
        self.hand.touch(f'.bench-dock [data-opens="{panel}"]')
        self.page.locator(f"#{panel}.is-open").wait_for()
        return True
