"""Dates read off parts and labels: every reading that the marking allows, each with the days it stands for.

A date code is short because it leaves things out: the century, the decade, the order of day and month. So the answer
is never one guess but all candidates up to today; the judgement between them belongs to the unit (``originality``).

Sources
    Four digits YYWW: EIA-476 (date code marking), form and week 01-53 as tabled in ECIA NIGP 117.00 (looked up). The
    scheme began in 1945 (abstract of EIA-476-B, looked up).
    Week: ISO 8601, Monday to Sunday, week 1 holds the first Thursday. Not every maker counts so: one prints "week of
    January 1 is week 01" (a package-marking legend, looked up), and the registrar's own example, 99 10 for 7 to
    13 March 1999, runs from Sunday (ecianow.org, EIA source codes, looked up). Hence the leeway of each candidate.
    Source and date (SSS Y WW, SSS YY WW and longer): EIA-476-A, source code of one to four digits, eight digits at
    most together; dating guides for parts (stereophile.com listening-61, guitarhq.com pots, w9wze.net, avtonod.ru,
    raumtelecom.ru, all looked up). Some makers date a month or two ahead (guitarhq.com, looked up).
    Year letter and month character: IEC 60062 (DIN 41314 before), table and the reversed order of 1969 to 1977 from
    bedienungsanleitung.elektronotdienst-nuernberg.de/din-en-60062.html (looked up); that G is no year letter follows
    from R=2003 to W=2008 (primidi.com, looked up).
    One letter, four-year cycle: listed in IEC 60062:2004 (its summary at normadoc.com, looked up); the letters as one
    capacitor maker prints them (an answer on electronics.stackexchange.com, 240258, looked up); that other makers
    and the standard use the same ones: from memory. Read only when asked for.
    Labels: orders of day, month and year by country, common practice, no source. Eras: Showa from 25 December 1926,
    Heisei from 8 January 1989, Reiwa from 1 May 2019 (itsudakke.com wareki; utilrepo.com, looked up); days of the
    year in which eras change are met under either name (i009.net japanera, looked up).
    No label is older than 1920: common practice, no source.
"""

from __future__ import annotations

from .candidates import Candidate, Certainty, Kind, NotADate, System
from .labels import ERAS, Era, encode_era, encode_label
from .letters import encode_month_year, encode_one_letter, encode_year_month
from .reading import read_date
from .weeks import WeekRule, encode_source_date, encode_yww, encode_yyww, week_of

__all__ = [
    "ERAS",
    "Candidate",
    "Certainty",
    "Era",
    "Kind",
    "NotADate",
    "System",
    "WeekRule",
    "encode_era",
    "encode_label",
    "encode_month_year",
    "encode_one_letter",
    "encode_source_date",
    "encode_year_month",
    "encode_yww",
    "encode_yyww",
    "read_date",
    "week_of",
]
