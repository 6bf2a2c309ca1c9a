"""The safety check as a whole: may the unit go home?

Sources
    That a unit goes home only after every test it owes was made and passed: service manuals, "before returning the
    unit" (looked up). That a class I unit needs its protective-conductor reading: VDE 0701-0702 as tabled in an
    appliance tester's manual (looked up). That a failed reading fails the unit even where the test wasn't owed:
    common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..in_words import listed
from .limits import Limits
from .readings import Measurements
from .required import SafetyTest, UnitUnderTest, tests_required
from .trials import judge, limit_words
from .verdicts import Verdict


class Outcome(StrEnum):
    """What the whole safety check came to; only ``passed`` opens the way home. The value is what a table keeps."""

    PASSED = "passed"
    FAILED = "failed"
    NOT_DONE = "not_done"

    @property
    def label(self) -> str:
        """The outcome within a sentence."""
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class JudgedTest:
    """One test: whether this unit owes it, its verdict, one sentence that stands by itself, and its limit in words."""

    test: SafetyTest
    required: bool
    verdict: Verdict
    sentence: str
    limit: str = ""


@dataclass(frozen=True, slots=True)
class SafetyResult:
    """The outcome, each test that was owed or made, and one sentence over all."""

    outcome: Outcome
    tests: tuple[JudgedTest, ...]
    sentence: str


def assess(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> SafetyResult:
    """Judge one safety check.

    Passed only if every required test was done and passed and nothing else failed. A required test that is too close
    to call leaves the check not done: repeat it with a better meter.
    """
    required = tests_required(
        unit.protection_class,
        mains=unit.mains,
        line_volt=unit.line_volt,
        profile=unit.profile,
        unearthed_metal=unit.unearthed_metal,
        insulation_by_current=limits.insulation_by_current,
    )
    made = _made(measurements)
    tests = tuple(
        JudgedTest(
            test,
            test in required,
            *judge(test, measurements, limits, unit),
            limit_words(test, limits, unit),
        )
        for test in SafetyTest
        if test in required or test in made
    )
    outcome, sentence = _decide(tests)
    return SafetyResult(outcome, tests, sentence)


def _made(measurements: Measurements) -> frozenset[SafetyTest]:
    """The tests for which anything was read."""
    read = {
        SafetyTest.VISUAL: measurements.visual,
        SafetyTest.CONDUCTOR: measurements.conductor,
        SafetyTest.COLD: measurements.cold,
        SafetyTest.INSULATION: measurements.insulation,
        SafetyTest.HOT: measurements.hot,
        SafetyTest.NETWORK: measurements.network,
        SafetyTest.CONDUCTOR_CURRENT: measurements.conductor_current,
        SafetyTest.TOUCH_CURRENT: measurements.touch_current,
    }
    return frozenset(test for test, readings in read.items() if readings)


def _decide(tests: tuple[JudgedTest, ...]) -> tuple[Outcome, str]:
    """The outcome over all tests and its sentence."""
    failed = [result.test.label for result in tests if result.verdict is Verdict.FAILED]
    if failed:
        return Outcome.FAILED, f"Failed: {listed(failed)}."
    close = [result.test.label for result in tests if result.required and result.verdict is Verdict.TOO_CLOSE]
    owed = [result.test.label for result in tests if result.required and result.verdict is Verdict.NOT_DONE]
    if not close and not owed:
        count = sum(result.required for result in tests)
        return Outcome.PASSED, f"Passed: {count} of {count} required tests."
    open_ends = []
    if owed:
        open_ends.append(f"still to do: {listed(owed)}")
    if close:
        open_ends.append(f"too close to call, repeat with a better meter: {listed(close)}")
    return Outcome.NOT_DONE, f"Not done; {'; '.join(open_ends)}."
