"""How units leave: nothing unchecked, nothing unsaid, nothing twice; the parcel tables as the screens show them."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import pypdf
import pytest

from shop.counter.models import Accessory, Job
from shop.counter.moving import MoveRefused
from shop.counter.stages import Stage
from shop.dispatch import actions
from shop.dispatch.advice import advice_for, in_shop_measure, weight_of
from shop.dispatch.forms.leaving import PackForm
from shop.dispatch.forms.tables import BoxForm
from shop.dispatch.lithium import content_of, said_of
from shop.dispatch.measures import weight
from shop.dispatch.models import Carrier, CarrierRule, Collection, GoingBack, Parcel
from shop.dispatch.papers import return_slip_context
from shop.dispatch.planning import plan_for
from shop.frame.customs import writing_in
from shop.frame.journal import verify
from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.handbook.parcels import ParcelError, Size, Weight
from shop.keeping.papers import stored_bytes
from tests.factories.counter import CustomerFactory
from tests.factories.dispatch import a_battery_set, check_all, packed, ready

TODAY = dt.date(2026, 11, 25)


def stage(job: Job) -> str:
    return Job.objects.values_list("stage", flat=True).get(pk=job.pk)


# --- what came goes back --------------------------------------------------------------------------------------


def test_an_accessory_that_nobody_checked_stops_the_parcel_until_its_absence_is_explained(
    by, own_guard_only
) -> None:
    job = ready(by, accessories=("power supply", "manual"))
    parcel = packed(job, by)
    with pytest.raises(MoveRefused, match="power supply, manual"):
        actions.hand_over(parcel=parcel, by=by)
    assert parcel.handed_over_at is None
    supply, manual = Accessory.objects.order_by("id")
    actions.check_accessory(accessory=supply, included=True, by=by)
    with pytest.raises(Refusal, match="Say why “manual” does not go back"):
        actions.check_accessory(accessory=manual, included=False, by=by)
    with pytest.raises(MoveRefused, match="manual"):
        actions.hand_over(parcel=parcel, by=by)
    assert (stage(job), Parcel.objects.get().handed_over_at) == (Stage.READY, None)
    actions.check_accessory(accessory=manual, included=False, explanation="kept for the next unit", by=by)
    actions.hand_over(parcel=parcel, by=by)
    assert stage(job) == Stage.GONE_HOME
    assert verify() == []


def test_the_slip_names_what_goes_back_and_what_does_not(by) -> None:
    job = ready(by, accessories=("power supply", "manual"))
    supply, manual = Accessory.objects.order_by("id")
    actions.check_accessory(accessory=supply, included=True, by=by)
    actions.check_accessory(accessory=manual, included=False, explanation="lost by the customer", by=by)
    parcel = packed(job, by)
    paper = actions.issue_slip(parcel=parcel, by=by)
    text = pypdf.PdfReader(io.BytesIO(stored_bytes(paper))).pages[0].extract_text()
    for words in (
        "power supply",
        "manual",
        "not in the parcel",
        "lost by the customer",
        job.number,
        "24 × 20 × 12 in",
    ):
        assert words in text, words
    assert actions.issue_slip(parcel=parcel, by=by) == paper


def test_no_slip_says_that_something_is_in_the_parcel_which_nobody_has_checked(by) -> None:
    job = ready(by, accessories=("power supply",))
    supply, parcel = Accessory.objects.get(), packed(job, by)
    with pytest.raises(Refusal, match="not checked yet: power supply"):
        actions.issue_slip(parcel=parcel, by=by)
    actions.check_accessory(accessory=supply, included=True, by=by)
    first = actions.issue_slip(parcel=parcel, by=by)
    actions.check_accessory(accessory=supply, included=False, explanation="kept for the next unit", by=by)
    again = actions.issue_slip(parcel=Parcel.objects.get(), by=by)
    assert again != first
    assert "not in the parcel" in pypdf.PdfReader(io.BytesIO(stored_bytes(again))).pages[0].extract_text()


def test_a_collection_needs_the_accessories_as_well(by, own_guard_only) -> None:
    job = ready(by, accessories=("power supply",))
    facts = {
        "customer": job.customer,
        "jobs": [job],
        "collected_by": "M. Osei",
        "shown": "claim_check",
        "by": by,
    }
    with pytest.raises(MoveRefused, match="power supply"):
        actions.collect(**facts)
    assert not Collection.objects.exists()
    check_all(job, by)
    actions.collect(**facts)
    assert (stage(job), Collection.objects.get().collected_by) == (Stage.GONE_HOME, "M. Osei")


# --- packing --------------------------------------------------------------------------------------------------


def test_units_of_one_customer_travel_together_and_another_customers_do_not(by) -> None:
    owner = CustomerFactory(regular=True)
    first, second, other = ready(by, owner=owner), ready(by, owner=owner), ready(by, owner=CustomerFactory())
    sizes = {"length_mm": 600, "width_mm": 500, "height_mm": 300, "weight_grams": 20_000, "by": by}
    with pytest.raises(Refusal, match=f"{other.number} is not"):
        actions.pack(customer=owner, jobs=[first, other], **sizes)
    parcel = actions.pack(customer=owner, jobs=[first, second], **sizes)
    assert actions.jobs_in(parcel) == [first.pk, second.pk]
    with pytest.raises(Refusal, match="packed already"):
        actions.pack(customer=owner, jobs=[second], **sizes)
    actions.unpack(parcel=parcel, by=by)
    actions.pack(customer=owner, jobs=[second], **sizes)


def test_what_customs_asks_for_is_said_before_a_parcel_goes_abroad(by) -> None:
    job = ready(by)
    told = {
        "customs_description": "Used radio",
        "customs_origin": "JP",
        "customs_hs_code": "852791",
        "declared_value_minor": 42_000,
    }
    for missing in told:
        some = {name: value for name, value in told.items() if name != missing}
        with pytest.raises(Refusal, match="Customs asks"):
            packed(job, by, country="DE", **some)
    assert not Parcel.objects.exists()
    parcel = packed(job, by, country="DE", address="J. Weidt\nHolzweg 3\n10115 Berlin\nGERMANY", **told)
    text = (
        pypdf.PdfReader(io.BytesIO(stored_bytes(actions.issue_slip(parcel=parcel, by=by))))
        .pages[0]
        .extract_text()
    )
    for words in ("Used radio, returned after repair", "JP", "852791", "420.00 USD", "GERMANY"):
        assert words in text, words


def test_the_value_for_customs_names_its_currency_and_is_written_as_the_shop_writes(by) -> None:
    # 1.234,50 is how CLDR, Unicode's book of customs, writes it for German
    told = {"customs_description": "Used radio", "customs_origin": "JP", "customs_hs_code": "852791"}
    parcel = packed(ready(by), by, country="DE", declared_value_minor=123_450, **told)
    with writing_in("de-DE"):
        facts = return_slip_context(parcel, [], by=by)["customs"]
    assert [fact.value for fact in facts if fact.label == "Value"] == ["1.234,50 USD"]


def test_of_a_unit_with_a_lithium_cell_somebody_says_what_it_is(by) -> None:
    job = ready(by, model=a_battery_set(name="LX-1", traits=["lithium"]))
    with pytest.raises(Refusal, match="A lithium cell is inside") as refused:
        packed(job, by)
    assert refused.value.field == "lithium_chemistry"
    parcel = packed(job, by, lithium="UN 3481: 5 lithium-ion cells", lithium_needs_mark=True)
    warning = next(line for line in advice_for(parcel, [job], on=TODAY) if line.about == "Lithium")
    assert warning.warns
    assert "100 × 100 mm" in warning.says


@pytest.mark.parametrize(
    "typed, chemistry, content",
    # Wh = V x Ah: 3.7 x 2.2 = 8.14, 11.1 x 5.2 = 57.72, 14.8 x 7 = 103.6, worked by hand
    [
        ("3.7 V 2200 mAh", "ion", "8.14"),
        ("11.1V 5.2Ah", "ion", "57.72"),
        ("14,8 V, 7 Ah", "ion", "103.6"),
        ("8.1 Wh", "ion", "8.1"),
        ("0.3 g", "metal", "0.3"),
    ],
)
def test_what_stands_on_a_cell_is_read(typed, chemistry, content) -> None:
    assert content_of(typed, chemistry) == Decimal(content)


@pytest.mark.parametrize(
    "typed, chemistry", [("", "ion"), ("lots", "ion"), ("3.7 V", "ion"), ("8 Wh", "metal"), ("0 g", "metal")]
)
def test_what_can_not_be_read_of_a_cell_is_refused(typed, chemistry) -> None:
    with pytest.raises(ParcelError):
        said_of(
            chemistry=chemistry, content=typed, count=1, is_battery=False, is_button=False, is_damaged=False
        )


@pytest.mark.parametrize(
    "content, count, battery, small, mark",
    # 49 CFR 173.185(c), from memory: 20 Wh a cell, 100 Wh a battery; no mark up to 4 cells or 2 batteries in equipment
    [
        ("8.14 Wh", 4, False, True, False),
        ("8.14 Wh", 5, False, True, True),
        ("57.72 Wh", 2, True, True, False),
        ("57.72 Wh", 3, True, True, True),
        ("103.6 Wh", 1, True, False, True),
    ],
)
def test_the_rule_for_lithium_cells_row_by_row(content, count, battery, small, mark) -> None:
    said = said_of(
        chemistry="ion", content=content, count=count, is_battery=battery, is_button=False, is_damaged=False
    )
    assert (said.answer.is_small, said.needs_mark) == (small, mark)
    assert said.words.startswith("UN 3481")


# --- the parcel tables, as a person sees them -------------------------------------------------------------------


def advised(by, inches: tuple[int, int, int], pounds: str, carrier: Carrier | None = None) -> dict[str, str]:
    length, width, height = (round(side * 25.4) for side in inches)
    grams = round(Decimal(pounds) * Decimal("453.59237"))
    parcel = packed(
        ready(by), by, length_mm=length, width_mm=width, height_mm=height, weight_grams=grams, carrier=carrier
    )
    return {line.about: line.says for line in advice_for(parcel, [], on=TODAY)}


@pytest.mark.parametrize(
    "inches, pounds, burst, crush",
    # Rule 41 / Item 222: ipack.com for weights, inches and burst, psimd.com for edge crush
    [((24, 20, 12), "45", 175, 29), ((30, 24, 18), "45", 200, 32), ((30, 24, 30), "60", 250, 40)],
)
def test_the_board_that_a_parcel_needs(by, inches, pounds, burst, crush) -> None:
    said = advised(by, inches, pounds)["Board"]
    assert f"{crush} lb/in edge crush or {burst} lb/in² burst" in said


def test_a_metric_shop_reads_weights_board_and_hints_in_its_own_measure(by) -> None:
    ShopProfile.objects.update(measures="metric", language="de-DE")
    # NIST SP 811, appendix B.8: 1 lbf/in is 175.1268 N/m, 1 psi is 6.894757 kPa
    with writing_in("de-DE"):
        said = advised(by, (24, 20, 12), "45")["Board"]
        assert "at least 5,1 kN/m (29 lb/in) edge crush or 1207 kPa (175 lb/in²) burst" in said
        assert "from 9 kg on" in said
        assert weight(12_400) == "12,4 kg"
    assert [str(BoxForm()["size"].help_text), str(PackForm(job=ready(by))["weight"].help_text)] == [
        "60 x 50 x 30",
        "As the scale says: 12.5 · 850 g",
    ]


@pytest.mark.parametrize(
    "inches, girth", [((24, 20, 12), 88), ((30, 24, 18), 114), ((48, 20, 15), 118), ((36, 20, 16), 108)]
)
def test_length_and_girth_together(by, inches, girth) -> None:
    # L + 2 (W + H), worked by hand
    assert advised(by, inches, "20")["Size"] == f"Length and girth together: {girth} in."


@pytest.mark.parametrize("pounds, inches", [("20.9", 30), ("21.1", 24), ("45", 18), ("61.1", 12), ("101", 8)])
def test_the_fall_that_a_parcel_must_stand(by, pounds, inches) -> None:
    # ISTA 1A: papertestmachine.com
    assert f"a fall of {inches} in" in advised(by, (24, 20, 12), pounds)["Handling"]


def a_carrier(by, **rule: object) -> Carrier:
    carrier = actions.add_carrier(name="Tern Post", by=by)
    facts = {"from_date": dt.date(2025, 8, 18), "divisor": Decimal(139), "units": "in_lb", "rounding": "up"}
    actions.add_carrier_rule(carrier=carrier, by=by, **facts | rule)
    return carrier


@pytest.mark.parametrize(
    "divisor, rounding, pounds",
    # 24 x 20 x 12 in: 5760 in³, over 139 makes 42, over 166 makes 35, worked by hand
    [(139, "up", 42), (139, "nearest", 42), (166, "up", 35), (166, "nearest", 35)],
)
def test_the_weight_that_is_charged_by_size(by, divisor, rounding, pounds) -> None:
    carrier = a_carrier(by, divisor=Decimal(divisor), rounding=rounding)
    assert f"divided by {divisor} makes {pounds} lb" in advised(by, (24, 20, 12), "20", carrier)["Tern Post"]


def test_a_whole_inch_and_a_whole_pound_survive_being_kept_in_millimetres_and_grams(by) -> None:
    # the worked rows of the tariff are in whole inches; 1 in = 25.4 mm and 1 lb = 453.59237 g, exactly
    for whole in range(1, 109):
        sides = (round(whole * 25.4), round(whole * 25.4), round(whole * 25.4))
        assert in_shop_measure(sides).sides[0] == whole
        grams = round(whole * Decimal("453.59237"))
        assert weight_of(Parcel(weight_grams=grams)).value == whole


@pytest.mark.parametrize(
    "inches, pounds",
    # worked rows under divisor 139, rounded up; a sixteenth of an inch over is a whole inch more
    [
        (("11.1", "8.5", "6.2"), 6),
        (("11.1", "8.1", "4.1"), 4),
        (("22.5", "19.2", "10.4"), 37),
        (("24.0625", "20", "12"), 44),
    ],
)
def test_the_worked_rows_of_the_tariff_come_out_after_being_kept(by, inches, pounds) -> None:
    carrier = a_carrier(by)
    length, width, height = (round(Decimal(side) * Decimal("25.4")) for side in inches)
    job = ready(by)
    parcel = packed(
        job, by, length_mm=length, width_mm=width, height_mm=height, weight_grams=900, carrier=carrier
    )
    said = next(line.says for line in advice_for(parcel, [job], on=TODAY) if line.about == "Tern Post")
    assert f"makes {pounds} lb" in said


def test_a_cubic_foot_is_not_over_a_cubic_foot(by) -> None:
    carrier = a_carrier(by, threshold=Decimal(1728))
    assert advised(by, (12, 12, 12), "5", carrier)["Tern Post"].startswith("Charged by actual weight")


def test_the_rule_of_the_day_is_used_and_the_shops_rates_with_it(by) -> None:
    carrier = a_carrier(by, rates=[(Decimal(20), 1_890), (Decimal(45), 4_250)])
    actions.add_carrier_rule(
        carrier=carrier,
        from_date=dt.date(2027, 1, 1),
        divisor=Decimal(120),
        units="in_lb",
        rounding="up",
        by=by,
    )
    job = ready(by)
    parcel = packed(job, by, carrier=carrier)
    said = {
        on.year: next(a.says for a in advice_for(parcel, [job], on=on) if a.about == "Tern Post")
        for on in (TODAY, dt.date(2027, 1, 1))
    }
    assert "divided by 139" in said[2026]
    assert "By the shop’s table $42.50" in said[2026]
    assert "divided by 120" in said[2027]


def test_what_is_too_big_for_a_carrier_is_said(by) -> None:
    carrier = a_carrier(by, max_length_girth=Decimal(80), max_weight=Decimal(40))
    job = ready(by)
    parcel = packed(job, by, carrier=carrier)
    warnings = [line.says for line in advice_for(parcel, [job], on=TODAY) if line.warns]
    assert any(
        "length and girth of 88.1 in" in says or "length and girth of 88 in" in says for says in warnings
    )
    assert any("weight of 45 lb" in says for says in warnings)


def test_a_box_whose_stamp_is_too_weak_is_said_to_be(by) -> None:
    weak = actions.add_box(name="Thin", length_mm=610, width_mm=508, height_mm=305, ect=23, by=by)
    strong = actions.add_box(name="Stout", length_mm=610, width_mm=508, height_mm=305, ect=44, by=by)
    for box, warned in ((weak, True), (strong, False)):
        job = ready(by)
        lines = advice_for(packed(job, by, box=box), [job], on=TODAY)
        assert any(line.warns and "“Thin” is stamped 23 lb/in" in line.says for line in lines) == warned


def test_the_plan_says_which_of_the_shops_boxes_hold_a_unit_and_which_do_not(by) -> None:
    # two inches around 17 x 14 x 6 make 21 x 18 x 10 inside, worked by hand; board of 4 mm on each side (common practice)
    actions.add_box(
        name="Just",
        length_mm=round(21.4 * 25.4),
        width_mm=round(18.4 * 25.4),
        height_mm=round(10.4 * 25.4),
        by=by,
    )
    actions.add_box(
        name="Short", length_mm=round(21 * 25.4), width_mm=round(18 * 25.4), height_mm=round(10 * 25.4), by=by
    )
    unit, weight = Size(Decimal(17), Decimal(14), Decimal(6), "in"), Weight(Decimal(12), "lb")
    plan = plan_for(unit, weight, fragile=False, cushion=None, on=TODAY)
    assert str(plan.plan.outer) == "21 × 18 × 10 in"
    assert [(choice.box.name, choice.holds) for choice in plan.choices] == [("Just", True), ("Short", False)]
    assert plan_for(unit, Weight(Decimal(28), "lb"), fragile=False, cushion=None, on=TODAY).plan.is_double


# --- the shop's own tables --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "link, said",
    [("https://tern.example/", "Write {tracking}"), ("javascript:alert('{tracking}')", "begins with https")],
)
def test_a_tracking_link_that_leads_nowhere_is_refused(by, link, said) -> None:
    with pytest.raises(Refusal, match=said):
        actions.add_carrier(name="Tern Post", tracking_link=link, by=by)


def test_a_rule_by_which_parcels_were_weighed_stays(by) -> None:
    carrier = a_carrier(by)
    with pytest.raises(Refusal, match="were weighed by this rule"):
        actions.withdraw_carrier_rule(rule=CarrierRule.objects.get(), by=by)
    with pytest.raises(Refusal, match="from that day already"):
        actions.add_carrier_rule(
            carrier=carrier,
            from_date=dt.date(2025, 8, 18),
            divisor=Decimal(1),
            units="in_lb",
            rounding="up",
            by=by,
        )


def test_asking_again_corrects_what_was_said_of_an_accessory(by) -> None:
    job = ready(by, accessories=("manual",))
    manual = Accessory.objects.get()
    actions.check_accessory(accessory=manual, included=False, explanation="not found", by=by)
    actions.check_accessory(accessory=manual, included=True, by=by)
    assert (GoingBack.objects.get().included, stage(job)) == (True, Stage.READY)
