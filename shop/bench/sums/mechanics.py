"""Sums of mechanics: belts, drives, dial cord, torque, screws."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from shop.bench.sums.asking import Said, SumForm, choice, length, number, of_length, signed, whole
from shop.handbook.in_words import plain, rounded
from shop.handbook.mechanics import belts, screws
from shop.handbook.refusal import Refused


class BeltSum(SumForm):
    """A belt by its path."""

    slug = "belt"
    title = "Belt"
    about = "Which inside length goes around a path, and what another thickness does to the speed."
    words = "rubber drive capstan square flat tape deck turntable length pulley"

    kind = choice("Belt", [(one.value, one.value.capitalize()) for one in belts.Belt])
    path = length("Path", required=False, help_text="By a thread around everything, tensioner in its place.")
    first = length("or a pulley", required=False, help_text="Diameter: 8")
    second = length("the other", required=False, help_text="80")
    centers = length("center to center", required=False, help_text="120")
    old = length("Old thickness", required=False, help_text="0.6; for the speed")
    new = length("New thickness", required=False, help_text="1.0")

    def reckon(self) -> Iterator[Said]:
        """Length, ring, and the speed's change from the first pulley to the second."""
        data = self.cleaned_data
        path = self._path(data)
        found = belts.belt_for(path, belts.Belt(data["kind"]))
        yield Said("Path", of_length(path))
        yield Said(
            "Relaxed inside length",
            f"{of_length(found.least_mm, found.most_mm)}; the maker’s comes first",
        )
        yield Said(
            "As a ring",
            f"{of_length(found.least_diameter_mm, found.most_diameter_mm, digits=3)} inside diameter",
        )
        if None not in (data["first"], data["second"], data["old"], data["new"]):
            change = belts.speed_change(data["first"], data["second"], data["old"], data["new"])
            yield Said(
                "Speed",
                f"{signed(change, '%')}, the first pulley driving",
                "close" if abs(change) > 1 else "",
                "mind",
            )

    def _path(self, data: dict[str, Any]) -> Decimal:
        pulleys = (data["first"], data["second"], data["centers"])
        if data["path"] is not None:
            return Decimal(data["path"])
        if None in pulleys:
            raise Refused("Type the path, or two diameters and the distance of their centers.")
        return belts.path(*pulleys)


class DriveSum(SumForm):
    """Tires, idlers, pulleys."""

    slug = "drive-diameter"
    title = "Tire and pulley by speed"
    about = "Which diameter puts a speed right, and what a motor pulley gives on a rim."
    words = "idler wheel pinch roller capstan pulley 50 hz 60 hz conversion motor poles rim drive"

    diameter = length("Diameter now", required=False, help_text="9.52")
    error = number("Speed error, %", required=False, help_text="-2.5")
    does = choice("The part", [("drives", "Drives"), ("driven", "Is driven")])
    line_hz = choice("Synchronous motor on", [("50", "50 Hz"), ("60", "60 Hz")])
    poles = whole("Poles", required=False, help_text="4")
    pulley = length("Motor pulley", required=False, help_text="5.2")
    rim = length("Rim or platter", required=False, help_text="280")

    def reckon(self) -> Iterator[Said]:
        """Whichever of the two was typed."""
        data = self.cleaned_data
        by_error = data["diameter"] is not None and data["error"] is not None
        by_motor = data["poles"] is not None
        if not by_error and not by_motor:
            raise Refused("Type a diameter with its speed error, or a motor’s poles.")
        if by_error:
            right = belts.diameter_for(data["diameter"], data["error"], drives=data["does"] == "drives")
            yield Said("Diameter wanted", f"{of_length(right)}; an idler between two rims changes nothing")
        if by_motor:
            rpm = belts.synchronous_rpm(Decimal(data["line_hz"]), data["poles"])
            yield Said(
                "Motor",
                f"{rounded(rpm, 5)} rpm if synchronous; an induction motor runs some percent under it",
            )
            if data["pulley"] is not None and data["rim"] is not None:
                yield Said(
                    "Platter",
                    f"{rounded(belts.rim_drive_rpm(rpm, data['pulley'], data['rim']), 4)} rpm without slip",
                )


class DialCordSum(SumForm):
    """Dial cord."""

    slug = "dial-cord"
    title = "Dial cord"
    about = "How far the pointer travels and how much cord to cut."
    words = "tuner string pointer drum tuning"

    drum = length("Drum", help_text="50")
    degrees = number("It turns, °", initial="180", help_text="180")
    path = length("Path of the cord", help_text="620, by a thread")
    wraps = number("Wraps around drum and shaft", initial="3", help_text="3")

    def reckon(self) -> Iterator[Said]:
        """Travel and cord."""
        data = self.cleaned_data
        found = belts.dial_cord(data["drum"], data["degrees"], data["path"], data["wraps"])
        yield Said("The pointer travels", of_length(found.travel_mm))
        yield Said(
            "Cut",
            f"{of_length(found.cord_mm)}, {of_length(Decimal(50), digits=2)} at each end for the knots among it",
        )


class TorqueSum(SumForm):
    """Torque at a hub."""

    slug = "hub-torque"
    title = "Torque at a hub"
    about = "From a spring gauge’s pull and a radius: gf·cm and mN·m, and the pull elsewhere."
    words = "take-up reel tension clutch cassette force"

    pull = number("Pull, g", help_text="20")
    radius = length("at a radius of", help_text="25")

    def reckon(self) -> Iterator[Said]:
        """Both units."""
        data = self.cleaned_data
        torque = belts.torque_mnm(data["pull"], data["radius"])
        yield Said("Torque", f"{rounded(torque / belts.MNM_PER_GFCM)} gf·cm, {rounded(torque)} mN·m")
        yield Said("Held to", "the maker’s number; a worn clutch and a dry bearing change it over a reel")


class ScrewSum(SumForm):
    """A screw by its measures."""

    slug = "screw"
    title = "Screw"
    about = "Every thread that a measured diameter and pitch may be; ten turns measured tell the pitch."
    words = "thread jis iso metric unc unf ba m3 m2.6 bolt pitch"

    diameter = length("Outside diameter", help_text="2.93")
    pitch = length("Pitch", required=False, help_text="0.6")
    per_inch = number("or threads to an inch", required=False, help_text="32")

    def reckon(self) -> Iterator[Said]:
        """The candidates, the nearest first."""
        data = self.cleaned_data
        if (data["pitch"] is None) is (data["per_inch"] is None):
            raise Refused("Type the pitch or the threads to an inch, one of the two.")
        if data["per_inch"] is not None and not 10 <= data["per_inch"] <= 127:
            raise Refused("A small screw has 10 to 127 threads to an inch.")
        pitch = data["pitch"] if data["pitch"] is not None else Decimal("25.4") / data["per_inch"]
        found = screws.threads_like(data["diameter"], pitch)
        if not found:
            raise Refused(
                "No thread of the table fits: measure again over ten turns. The table isn’t complete, "
                "and a screw that cuts or forms its own thread isn’t in it."
            )
        for one in found:
            said = f"{one.family}: {rounded(one.diameter_mm)} mm, pitch {rounded(one.pitch_mm)} mm"
            yield Said(one.name, said, "close" if len(found) > 1 else "", "one of several")
        yield Said("Keep in mind", "try it by hand: what binds after two turns is another thread")


class WheelSpeedSum(SumForm):
    """Speed of a belt drive."""

    slug = "belt-drive"
    title = "Ratio of a belt drive"
    about = "Turns of the driven pulley, with the belt’s thickness."
    words = "pulley ratio rpm"

    driver = length("Driving pulley", help_text="8")
    driven = length("Driven pulley", help_text="80")
    thick = length("Thickness of the belt", initial="0.6", help_text="0.6")
    rpm = number("The driver turns at, rpm", required=False, help_text="2400")

    def reckon(self) -> Iterator[Said]:
        """Ratio and speed."""
        data = self.cleaned_data
        ratio = belts.ratio(data["driver"], data["driven"], data["thick"])
        yield Said("Driven", f"{rounded(ratio, 4)} turns for one of the driver")
        if data["rpm"] is not None:
            if not 1 <= data["rpm"] <= 100_000:
                raise Refused("The driver turns at 1 to 100000 rpm.")
            yield Said(
                "It turns at",
                f"{rounded(data['rpm'] * ratio, 4)} rpm, {plain(data['rpm'])} rpm driving, without slip",
            )


MECHANICS: tuple[type[SumForm], ...] = (BeltSum, WheelSpeedSum, DriveSum, DialCordSum, TorqueSum, ScrewSum)
