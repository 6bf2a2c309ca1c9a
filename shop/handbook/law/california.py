"""California: electronic and appliance repair dealers.

Sources
    California Code of Regulations, title 16, division 27, article 3: 2721 and 2725 as on govt.westlaw.com (current
    through 5 April 2024; the stored text breaks off in 2721(h) and in 2725(m)); 2722 as on regulations.justia.com
    (20 September 2024); 2722.5 and 2733 as on govt.westlaw.com (5 April 2024); 2723 as on casetext.com (8 November 2024).
    Business and Professions Code 9842 (self-law.org, with its sentence on electronic copies; california.public.law,
    2023), 9844.5 (law.justia.com, 2017); 9801, 9843 and the text of 9844 from memory.
    What the law covers: the Bureau's consumer guide names radios, stereo equipment and audio recorders (bbb.org copy).
    Unclaimed units: see ``unclaimed``. Federal tax records: see ``united_states``.
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.terms import (
    Condition,
    Duty,
    Fact,
    LawProfile,
    Paper,
    Requirement,
    Retention,
    kept_alike,
)
from shop.handbook.law.united_states import TAX_RECORDS

ESTIMATE_STATEMENT = (
    "An estimate as required (Section 9844 of the California Business and Professions Code) for repairs shall be given "
    "to the customer by the service dealer in writing, and the service dealer may not charge for work done or parts "
    "supplied in excess of the estimate without prior consent of the customer. Where provided in writing, the service "
    "dealer may charge a reasonable fee for services provided in determining the nature of the malfunction in "
    "preparation of a written estimate for repair. For information contact the Bureau of Household Goods and Services, "
    "Department of Consumer Affairs, Sacramento 95834."
)
"""The statement that 16 CCR 2721(g) and 2723 prescribe, word for word the same in both."""

CLAIM_CHECK = (
    Requirement(
        "dealer",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(a)",
        "name and registration number of the dealer, address and telephone of the place of repair",
        (Fact.SHOP_NAME, Fact.REGISTRATION_NUMBER, Fact.SHOP_ADDRESS, Fact.SHOP_PHONE),
    ),
    Requirement(
        "received", Paper.CLAIM_CHECK, "16 CCR 2721(b)", "date the unit was received", (Fact.RECEIVED_ON,)
    ),
    Requirement(
        "unit",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(c)",
        "description of the unit with model and serial number",
        (Fact.UNIT_DESCRIPTION, Fact.UNIT_MODEL, Fact.UNIT_SERIAL),
    ),
    Requirement(
        "complaint",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(d)",
        "summary of the customer's description of the problem",
        (Fact.COMPLAINT,),
    ),
    Requirement(
        "customer",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(e)",
        "name and address of the customer",
        (Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS),
    ),
    Requirement(
        "accepted_by",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(f)",
        "complete, legible signature or employee number of whoever accepted the unit",
        (Fact.ACCEPTED_BY,),
    ),
    Requirement(
        "estimate_statement",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(g)",
        "the prescribed statement on estimates, in prominent type",
        (Fact.NOTICE,),
        text=ESTIMATE_STATEMENT,
        prominent=True,
    ),
    Requirement(
        "removal",
        Paper.CLAIM_CHECK,
        "16 CCR 2721(h)",
        "begins with removal and reinstallation; the rest was cut off and is for the shop to look up",
        confirmed=False,
    ),
)

ESTIMATE = (
    Requirement(
        "whole",
        Paper.ESTIMATE,
        "16 CCR 2722",
        "all costs of parts and labor, and the first service call if there was one",
        (Fact.PARTS, Fact.LABOUR, Fact.TOTAL),
    ),
    Requirement(
        "in_writing",
        Paper.ESTIMATE,
        "B&P 9844",
        "a written estimate before any work; read its text before you rely on it",
        (Fact.TOTAL,),
        confirmed=False,
    ),
)

INVOICE = (
    Requirement(
        "dealer",
        Paper.INVOICE,
        "16 CCR 2725(a)",
        "business name, address and telephone of the dealer",
        (Fact.SHOP_NAME, Fact.SHOP_ADDRESS, Fact.SHOP_PHONE),
    ),
    Requirement(
        "registration",
        Paper.INVOICE,
        "16 CCR 2725(b)",
        "the dealer's state registration number, called so",
        (Fact.REGISTRATION_NUMBER,),
    ),
    Requirement("date", Paper.INVOICE, "16 CCR 2725(c)", "date of the invoice", (Fact.ISSUED_ON,)),
    Requirement(
        "repaired_at",
        Paper.INVOICE,
        "16 CCR 2725(d)",
        "for a unit picked up from a home, home office or vehicle: where it was repaired, and that dealer's number",
        (Fact.REPAIR_ADDRESS, Fact.REGISTRATION_NUMBER),
        condition=Condition.FETCHED,
    ),
    Requirement(
        "customer",
        Paper.INVOICE,
        "16 CCR 2725(e)",
        "name and address of the customer",
        (Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS),
    ),
    Requirement(
        "unit",
        Paper.INVOICE,
        "16 CCR 2725(f)",
        "description of the unit with make, model number and serial number",
        (Fact.UNIT_DESCRIPTION, Fact.UNIT_MAKE, Fact.UNIT_MODEL, Fact.UNIT_SERIAL),
    ),
    Requirement(
        "complaint",
        Paper.INVOICE,
        "16 CCR 2725(g)",
        "summary of the customer's description of the problem",
        (Fact.COMPLAINT,),
    ),
    Requirement("total", Paper.INVOICE, "16 CCR 2725(h)", "statement of total charges", (Fact.TOTAL,)),
    Requirement(
        "parts",
        Paper.INVOICE,
        "16 CCR 2725(i)",
        "each part by class and type, which were replaced under warranty, and the charge for the others",
        (Fact.PARTS,),
    ),
    Requirement(
        "labour",
        Paper.INVOICE,
        "16 CCR 2725(j)",
        "labor and technical services, itemized and described, under warranty or charged",
        (Fact.LABOUR,),
    ),
    Requirement(
        "other_charges",
        Paper.INVOICE,
        "16 CCR 2725(k)",
        "all other charges, itemized and described",
        (Fact.OTHER_CHARGES,),
    ),
    Requirement(
        "used_parts",
        Paper.INVOICE,
        "16 CCR 2725(l)",
        "which parts are used or exchanged, and the charge for each",
        (Fact.PART_STATES,),
        condition=Condition.USED_PARTS,
    ),
    Requirement(
        "picture_tube",
        Paper.INVOICE,
        "16 CCR 2725(l), 2726 to 2730",
        "a replacement picture tube is described as later sections say; those were not read",
        (Fact.PART_STATES,),
        confirmed=False,
        condition=Condition.PICTURE_TUBE,
    ),
    Requirement(
        "filled_in_by",
        Paper.INVOICE,
        "16 CCR 2725(m)",
        "complete, legible signature or employee number of the person (the text breaks off here)",
        (Fact.FILLED_IN_BY,),
    ),
    Requirement(
        "after_m",
        Paper.INVOICE,
        "16 CCR 2725, after (m)",
        "whether more is asked for could not be read and is for the shop to look up",
        confirmed=False,
    ),
    Requirement(
        "estimate_statement",
        Paper.INVOICE,
        "16 CCR 2723",
        "the prescribed statement on estimates, in prominent type",
        (Fact.NOTICE,),
        text=ESTIMATE_STATEMENT,
        prominent=True,
    ),
    Requirement(
        "oral_consent",
        Paper.INVOICE,
        "16 CCR 2722(a)",
        "date, time, who authorized, telephone called, who received the consent, conditions, additional parts and "
        "labor, total additional cost",
        (Fact.ORAL_CONSENT,),
        condition=Condition.ORAL_CONSENT,
    ),
)

LETTERS = (
    Requirement(
        "ready",
        Paper.COLLECT_LETTER,
        "Cal. Civ. Code 3052b(b)",
        "notice to the owner that the work is complete, by first-class mail",
        (Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS, Fact.UNIT_DESCRIPTION, Fact.READY, Fact.AMOUNT_OWED),
        condition=Condition.SMALL_CHARGES,
    ),
    Requirement(
        "time_and_place",
        Paper.SALE_LETTER,
        "Cal. Civ. Code 3066(a), (c)",
        "time and place of the sale, by registered letter with a return address",
        (Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS, Fact.SHOP_ADDRESS, Fact.SALE_TIME_AND_PLACE),
    ),
)

DUTIES = (
    Duty("no_minimum", "16 CCR 2722", "An estimate names no minimum amount: no “from”, no “at least”."),
    Duty(
        "prior_consent",
        "16 CCR 2722(a)",
        "Nothing above the estimate without consent beforehand, oral or written.",
    ),
    Duty("before_tax", "16 CCR 2722(b)", "Taxes are no part of the estimate."),
    Duty(
        "travel_inside",
        "16 CCR 2722(c)",
        "An estimate given at the customer's home includes all travel in its labor.",
        condition=Condition.FETCHED,
    ),
    Duty(
        "bench_fee",
        "16 CCR 2722.5",
        "The bench fee includes all travel made for it, except for units that came by public carrier.",
    ),
    Duty("copy", "16 CCR 2723", "The customer gets a legible invoice even when nothing is charged."),
    Duty(
        "used_parts", "B&P 9842", "Used parts are stated clearly; all work and all parts are on the invoice."
    ),
    Duty(
        "no_lien",
        "B&P 9844.5",
        "No right to hold the unit when charges exceed the estimate and its revisions.",
    ),
    Duty("replaced_parts", "B&P 9843", "Replaced parts go back on request made at intake.", confirmed=False),
    Duty(
        "brightener",
        "16 CCR 2733",
        "Before a picture tube brightener is fitted, the customer is told that it is temporary; the invoice says so too.",
        condition=Condition.PICTURE_TUBE,
    ),
    Duty("covered", "B&P 9801", "Whether the unit is a set that this law covers.", confirmed=False),
)

CALIFORNIA = LawProfile(
    "california",
    "California",
    date(2026, 11, 25),
    (*CLAIM_CHECK, *ESTIMATE, *INVOICE, *LETTERS),
    DUTIES,
    (
        Retention(frozenset({Paper.INVOICE, Paper.SIMPLIFIED_INVOICE}), 3, "B&P 9842"),
        TAX_RECORDS,
        kept_alike(TAX_RECORDS.years),
    ),
    warranty="No fixed length was found: the shop's own warranty on the repair is printed.",
    replaced_parts=(
        "Replaced parts are returned when the customer asks for them at intake, except those that go back under "
        "warranty or exchange (B&P 9843, not confirmed)."
    ),
    unclaimed=("ca_3066", "ca_3052b", "ca_3052"),
    codes=("16 CCR", "18 CCR", "B&P", "Cal. Civ. Code"),
    written_estimate="B&P 9844; read its text before you rely on it",
)
