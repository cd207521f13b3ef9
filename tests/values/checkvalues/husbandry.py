"""Check values of growth, breeding, shrink, head-days, inventory, withdrawal and pedigrees."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from herd.values.ageadjust import Weaned, adjusted_birth_weight, adjusted_weaning_weight, adjusted_yearling_weight
from herd.values.ages import age_in_days
from herd.values.animalunits import POUNDS_A_MONTH, animal_units, animal_units_by_intake
from herd.values.calvingintervals import calving_interval
from herd.values.calvingperiods import Calving, Start, calving_distribution
from herd.values.classes import AnimalClass
from herd.values.contemporaries import Kept, Stage, contemporary_groups, ratios
from herd.values.figures import round_half_up
from herd.values.frames import frame_score, height_at
from herd.values.gestation import bred_on, due_from_service
from herd.values.growth import Weighed, gain_per_day, weight_per_day_of_age
from herd.values.headdays import Stint, gain_deads_in, gain_deads_out, head_days
from herd.values.inbreeding import inbreeding_coefficients, relationship_matrix, relationships_of, wright_relationship
from herd.values.inventory import Flow, reconcile
from herd.values.mass import WeightUnit
from herd.values.policy import PUBLISHED, AnimalUnitRule, StartRule
from herd.values.reproduction import Cohort, measure, weight_weaned_per_exposed
from herd.values.scrotal import adjusted_scrotal_circumference
from herd.values.shrink import pay_weight, price_after_shrink, sale_value
from herd.values.withdrawal import free_at
from tests.values.checkvalues.table import Check, LeftOut
from tests.values.test_frames import BULLS, HEIFERS, cells
from tests.values.test_inbreeding import FIGURES, MRODE, SAMPLE, pedigree_of

BULL, STEER, HEIFER = AnimalClass.BULL, AnimalClass.STEER, AnimalClass.HEIFER
MATURE = 72
BIF = "Beef Improvement Federation guidelines"
CLEMSON = "Clemson Extension BC-1001"
UNL = "University of Nebraska-Lincoln 2015, worked example"
MONTANA = "Montana State University, after the Beef Improvement Federation"
DAY = date(2026, 1, 1)


def day(text: str) -> date:
    return date.fromisoformat(text)


def additions(dam_years: int) -> str:
    """What a dam's age adds to birth weight, males and heifers at 205 days."""
    months = dam_years * 12
    weights = [adjusted_weaning_weight(Weaned(500, 205, one, 80, months)).value - 500 for one in (BULL, STEER, HEIFER)]
    assert weights[0] == weights[1]
    return ", ".join(str(one) for one in (adjusted_birth_weight(80, months).value - 80, weights[0], weights[2]))


def weaned(*calf: object) -> Decimal:
    return adjusted_weaning_weight(Weaned(*calf)).rounded(2)  # type: ignore[arg-type]


def yearling_at(age: int) -> str:
    calf = Weaned(660, 209, STEER, 80, MATURE)
    try:
        adjusted_yearling_weight(1085, age, calf, adjusted_weaning_weight(calf))
    except ValueError:
        return "not adjusted"
    return "adjusted"


def refused(age: int) -> str:
    try:
        weaned(500, age, BULL, 80, MATURE)
    except ValueError as reason:
        return "not adjusted, a group of their own" if "group of their own" in str(reason) else str(reason)
    return "adjusted"


def yearling() -> Decimal:
    calf = Weaned(660, 209, BULL, 80, MATURE)
    weaning = replace(adjusted_weaning_weight(calf), value=Fraction(731))
    return adjusted_yearling_weight(1085, 363, calf, weaning).rounded(2)


def score(inches: str, age: int, animal_class: AnimalClass) -> Decimal:
    return frame_score(Decimal(inches), age, animal_class).rounded(3)


def matching(table: dict[int, str], animal_class: AnimalClass) -> str:
    """How many cells of a printed table the turned equation gives to a tenth, at months of 365/12 days."""
    all_cells = cells(table)
    met = sum(
        round_half_up(height_at(one, Fraction(months * 365, 12), animal_class), 1) == inches
        for months, one, inches in all_cells
    )
    return f"{met} of {len(all_cells)} cells"


def ratio() -> Decimal:
    kept = {one: Kept(BULL, DAY) for one in ("a", "b", "c")}
    groups = contemporary_groups(dict.fromkeys(kept, day("2025-06-01")), [Stage("weaning", kept)])
    return ratios({"a": 550, "b": 500, "c": 450}, groups, what="weight")["a"].rounded(1)


HERD = Cohort(300, pregnant=263, pregnant_lost=0, live=257, born_dead=6, died=2, weaned=255)


def rate(code: str) -> str:
    figure = measure(HERD, code)
    return f"{figure.rounded(2)} %" if figure else "not known"


def quartile(percent: int, mean: int) -> Decimal:
    cohort = Cohort(100, live=percent, weaned=percent, weaned_weight=percent * mean)
    figure = weight_weaned_per_exposed(cohort)
    assert figure
    return figure.rounded()


def first_period() -> str:
    calvings = [Calving(DAY + timedelta(days=on)) for on, many in ((5, 66), (30, 28), (50, 6)) for _ in range(many)]
    found = calving_distribution(calvings, Start(DAY, StartRule.BREEDING, ""))
    return ", ".join(f"{one.share} %" for one in found.periods)


def sale(pounds: int, percent: int, price: int) -> str:
    return f"{pay_weight(pounds, percent).rounded()} lb, ${sale_value(pounds, price, percent).rounded(2)}"


PAIR, METABOLIC = (replace(PUBLISHED, animal_unit=one) for one in (AnimalUnitRule.PAIR, AnimalUnitRule.METABOLIC))
PEN = [Stint(DAY, DAY + timedelta(days=170), 700, 1300)] * 98
PEN += [Stint(DAY, DAY + timedelta(days=50), 700, None, has_died=True)] * 2


def classes(*thousands: int) -> int:
    closing: int = reconcile({str(one): Flow(head, closing=head) for one, head in enumerate(thousands)}).total.closing
    return closing


def mrode() -> str:
    found, row = inbreeding_coefficients(MRODE), relationships_of(MRODE, 6)
    shares = ", ".join(f"{key} {float(row[key]):.4g}" for key in (5, 2, 3, 4))
    return f"F5 {float(found[5])}, F6 {float(found[6])}; with 6: {shares}"


def wright(one: int, other: int) -> Decimal:
    (own, between), (_, theirs) = relationship_matrix(SAMPLE, [one, other])
    return round(wright_relationship(between, own, theirs), 6)


def figures(row: tuple[str, list[str], dict[str, str]]) -> str:
    found = inbreeding_coefficients(pedigree_of(*row[1]))
    return ", ".join(f"F({one}) {float(found[one]):.10g}" for one in row[2])


def printed(row: tuple[str, list[str], dict[str, str]]) -> str:
    return ", ".join(f"F({one}) {float(value):.10g}" for one, value in row[2].items())


CHECKS = [
    Check(
        "DT-1",
        "born 1995-11-15, weaned 1996-07-01",
        CLEMSON,
        "229",
        lambda: age_in_days(day("1995-11-15"), day("1996-07-01")),
    ),
    Check(
        "DT-2",
        "calved 1995-01-25 and 1996-03-05",
        CLEMSON,
        "405",
        lambda: calving_interval(day("1995-01-25"), day("1996-03-05")).value,
    ),
    Check(
        "DT-3", "bred 1995-02-10, 283 days", CLEMSON, "1995-11-20", lambda: due_from_service(day("1995-02-10")).expected
    ),
    Check("DT-4", "calved 1996-03-05, 283 days back", CLEMSON, "1995-05-27", lambda: bred_on(day("1996-03-05"))),
    Check(
        "DT-5",
        "bred 2025-01-01, 283 days; printed tables count the day of breeding as day 1 and say Oct 10",
        "computed",
        "2025-10-11",
        lambda: due_from_service(day("2025-01-01")).expected,
    ),
    Check(
        "DT-5 July",
        "bred 2025-07-01, 283 days; printed tables say Apr 9 or Apr 8",
        "computed",
        "2026-04-10",
        lambda: due_from_service(day("2025-07-01")).expected,
    ),
    *(
        Check(
            f"GL {breed}",
            f"bred 2025-01-01, {breed}, {days} days",
            "Torell, University of Nevada Cooperative Extension; date computed",
            expected,
            lambda breed=breed: due_from_service(day("2025-01-01"), breed=breed).expected,
        )
        for breed, days, expected in (
            ("Jersey", 279, "2025-10-07"), ("Angus", 281, "2025-10-09"), ("Shorthorn", 282, "2025-10-10"),
            ("Hereford", 285, "2025-10-13"), ("Continental", 289, "2025-10-17"), ("Brahman", 292, "2025-10-20"),
        )
    ),
    *(
        Check(
            f"AOD-1 dam {years}",
            f"added to birth weight, males, heifers, dam of {years} years",
            "BIF additive factors by Michigan State University Extension",
            expected,
            lambda years=years: additions(years),
        )
        for years, expected in (
            (2, "8, 60, 54"),
            (3, "5, 40, 36"),
            (4, "2, 20, 18"),
            (5, "0, 0, 0"),
            (10, "0, 0, 0"),
            (11, "3, 20, 18"),
        )
    ),
    Check(
        "W205-1",
        "bull 520 lb at 200 days, birth 80, dam 2",
        f"constructed on {BIF}",
        "591.00",
        lambda: weaned(520, 200, BULL, 80, 24),
    ),
    Check(
        "W205-2",
        "heifer 480 lb at 190 days, birth 75, dam 2",
        f"constructed on {BIF}",
        "565.97",
        lambda: weaned(480, 190, HEIFER, 75, 24),
    ),
    Check(
        "W205-3",
        "560 lb at 230 days, birth 85, mature dam",
        f"constructed on {BIF}",
        "508.37",
        lambda: weaned(560, 230, BULL, 85, MATURE),
    ),
    Check(
        "W205-4",
        "heifer 500 lb at 215 days, birth 70, dam 4",
        f"constructed on {BIF}",
        "498.00",
        lambda: weaned(500, 215, HEIFER, 70, 48),
    ),
    Check(
        "W205-5",
        "800 lb at 210 days, birth 95; the page prints 783.8 from a rounded gain",
        "a breeder's page; exact value computed",
        "783.21",
        lambda: weaned(800, 210, BULL, 95, MATURE),
    ),
    *(
        Check(
            f"W205-6 at {age}",
            f"{age} days of age",
            f"{BIF}; Michigan State University Extension",
            "not adjusted, a group of their own",
            lambda age=age: refused(age),
        )
        for age in (159, 251)
    ),
    *(
        Check(
            f"YW window at {age}",
            f"yearling weight at {age} days of age; the guideline takes 320 to 410",
            f"{BIF}, Yearling Weight",
            expected,
            lambda age=age: yearling_at(age),
        )
        for age, expected in ((319, "not adjusted"), (320, "adjusted"), (410, "adjusted"), (411, "not adjusted"))
    ),
    Check("RATIO-1", "550 among 550, 500 and 450", f"{BIF}, Contemporary Groups; numbers constructed", "110.0", ratio),
    Check(
        "YW-1",
        "1085 lb at 363 days, 660 at 209, adjusted weaning 731; prints 1173",
        "a breed society's public help page",
        "1172.56",
        yearling,
    ),
    Check(
        "WDA-1",
        "660 lb at 209 days",
        "a breed society's public help page",
        "3.16",
        lambda: weight_per_day_of_age(660, 209).rounded(2),
    ),
    Check(
        "WDA-2", "1200 lb at 370 days", "a breeder's page", "3.24", lambda: weight_per_day_of_age(1200, 370).rounded(2)
    ),
    Check(
        "ADG-1",
        "600 to 1200 lb, Jan 1 to Sep 10",
        "a 4-H teaching sheet",
        "2.4",
        lambda: gain_per_day(Weighed(day("2001-01-01"), 600), Weighed(day("2001-09-10"), 1200)).rounded(1),
    ),
    Check(
        "ADG-2",
        "80 to 550 lb, Feb 20 to Sep 10",
        "a 4-H teaching sheet",
        "2.3",
        lambda: gain_per_day(Weighed(day("2001-02-20"), 80), Weighed(day("2001-09-10"), 550)).rounded(1),
    ),
    Check(
        "ADG-3",
        "pig 4601 of geepack dietox, 26.5 to 98.59998 kg in 77 days",
        "Lauridsen et al. 1999, J. Anim. Sci. 77:906; computed from open data",
        "0.93636",
        lambda: gain_per_day(
            Weighed(DAY, Decimal("26.5")), Weighed(DAY + timedelta(77), Decimal("98.59998")), unit=WeightUnit.KG
        ).rounded(5),
    ),
    Check("FS-1", "bull 49.0 in at 12 months; prints 5", MONTANA, "4.997", lambda: score("49.0", 365, BULL)),
    Check("FS-2", "bull 51.0 in at 12 months; prints 6", MONTANA, "5.997", lambda: score("51.0", 365, BULL)),
    Check("FS-3", "bull 47.3 in at 10 months; prints 5", MONTANA, "5.019", lambda: score("47.3", 304, BULL)),
    Check(
        "FS-4",
        "heifer 44.4 in at 6 months (182.5 days); prints 6",
        "a copied extension sheet",
        "6.0",
        lambda: frame_score(Decimal("44.4"), 183, HEIFER).rounded(1),
    ),
    Check(
        "FS-5 bulls",
        "the rows at hand of the bull table; 21 months score 8 is printed past a tie",
        MONTANA,
        "89 of 90 cells",
        lambda: matching(BULLS, BULL),
    ),
    Check(
        "FS-5 heifers",
        "the rows at hand of the heifer table, 12 months computed",
        "a copied extension sheet",
        "45 of 45 cells",
        lambda: matching(HEIFERS, HEIFER),
    ),
    Check(
        "SC-1",
        "Angus 34.0 cm at 350 days",
        f"{BIF}, Scrotal Circumference; numbers constructed",
        "34.561",
        lambda: adjusted_scrotal_circumference(34, 350, "Angus").rounded(3),
    ),
    *(
        Check(
            f"SC-1 {breed}",
            f"{breed} 34.0 cm at 350 days",
            f"{BIF}, factors of Geske, Schalles and Zoellner 1995; numbers constructed",
            expected,
            lambda breed=breed: adjusted_scrotal_circumference(34, 350, breed).rounded(4),
        )
        for breed, expected in (
            ("Charolais", "34.7575"), ("Gelbvieh", "34.7575"), ("Hereford", "34.6375"), ("Limousin", "34.8850"),
            ("Red Angus", "34.4860"), ("Simmental", "34.8145"),
        )
    ),
    Check("SPA-1", "300 exposed, 255 weaned; prints 85 %", UNL, "85.00 %", lambda: rate("weaning")),
    Check("SPA-2", "300 exposed, 37 open; prints 87.7 %", UNL, "87.67 %", lambda: rate("pregnancy")),
    Check(
        "SPA-3",
        "263 pregnant, 6 lost at calving; prints 97.7 %, on the stage before",
        UNL,
        "97.72 %",
        lambda: rate("live_calving_of_pregnant"),
    ),
    Check(
        "SPA-4", "257 live, 2 lost; prints 99.2 %, on the stage before", UNL, "99.22 %", lambda: rate("weaning_of_live")
    ),
    Check(
        "SPA-5",
        "257 live of 300 exposed",
        "a teaching text with the same herd",
        "85.67 %",
        lambda: rate("live_calving"),
    ),
    Check(
        "SPA-6",
        "300 exposed, 10 bred bought, 15 sold or dead",
        "rule: University of Nebraska-Lincoln; numbers constructed",
        "295",
        lambda: Cohort(300, left=15, bought=10).adjusted_exposed,
    ),
    *(
        Check(
            f"SPA-7 {name}",
            f"{percent} % weaned x {mean} lb; prints {prints}, of rounded means",
            "national SPA data 1991-2000, Texas A&M; product computed",
            expected,
            lambda percent=percent, mean=mean: quartile(percent, mean),
        )
        for name, percent, mean, prints, expected in (
            ("top", 85, 539, 456, "458"),
            ("second", 83, 529, 438, "439"),
            ("third", 81, 520, 422, "421"),
            ("fourth", 81, 502, 409, "407"),
        )
    ),
    Check(
        "CD-1",
        "28 % on days 22-42, 6 % on 43-63, none later",
        "University of Missouri Extension, first figure by difference",
        "66 %, 28 %, 6 %, 0 %",
        first_period,
    ),
    Check("SH-1", "600 lb, 4 %, $80", "Noble Foundation 1998", "576 lb, $460.80", lambda: sale(600, 4, 80)),
    Check("SH-2", "600 lb, 2 %, $79", "Noble Foundation 1998", "588 lb, $464.52", lambda: sale(600, 2, 79)),
    Check("SH-3", "600 lb, 6 %, $71", "Noble Foundation 1998", "564 lb, $400.44", lambda: sale(600, 6, 71)),
    Check("SH-3 unshrunk", "600 lb, $71", "Noble Foundation 1998", "600 lb, $426.00", lambda: sale(600, 0, 71)),
    Check(
        "SH-4",
        "$90 a cwt, 2 % pencil shrink",
        "Alberta Farm Express 2017",
        "88.20",
        lambda: price_after_shrink(90, 2).rounded(2),
    ),
    *(
        Check(
            f"SH-5 at {percent} %",
            f"650 lb, {percent} %, ${price}",
            "Western Livestock Journal",
            expected,
            lambda percent=percent, price=price: sale(650, percent, price),
        )
        for percent, price, expected in (
            (8, 114, "598 lb, $681.72"),
            (6, 113, "611 lb, $690.43"),
            (4, 112, "624 lb, $698.88"),
            (2, 111, "637 lb, $707.07"),
        )
    ),
    Check(
        "AU-1",
        "1,200-lb cow with a calf of over 4 months",
        "extension.org, beef cattle",
        "1.5",
        lambda: animal_units(1200, has_older_calf=True, policy=PAIR).rounded(1),
    ),
    Check(
        "AU-2",
        "dry cows of 1,000 and 1,200 lb",
        "extension.org, beef cattle",
        "0.9, 1.1",
        lambda: ", ".join(str(animal_units(one, is_dry=True, policy=PAIR).rounded(1)) for one in (1000, 1200)),
    ),
    *(
        Check(
            f"AU-3 {name}",
            f"{pounds} lb, {intake} % a day",
            "Texas chart",
            expected,
            lambda pounds=pounds, intake=intake: animal_units_by_intake(pounds, Decimal(intake)).rounded(2),
        )
        for name, pounds, intake, expected in (
            ("ewe", 130, "3.5", "0.18"),
            ("horse", 1100, "3.0", "1.27"),
            ("elk", 800, "3", "0.92"),
        )
    ),
    Check(
        "AU-4",
        "herd of 1,284 lb on average",
        "University of Nebraska-Lincoln drought centre",
        "1.284",
        lambda: animal_units(1284).rounded(3),
    ),
    *(
        Check(
            f"AU-5 {pounds} lb",
            f"metabolic weight of {pounds} lb",
            "Manske, North Dakota State; numbers computed",
            expected,
            lambda pounds=pounds: animal_units(pounds, policy=METABOLIC).rounded(2),
        )
        for pounds, expected in ((1200, "1.15"), (1400, "1.29"), (700, "0.77"))
    ),
    Check("AUM", "air-dry forage of an animal unit month: 26 lb x 30", "Texas chart", "780", lambda: POUNDS_A_MONTH),
    Check(
        "INV-1",
        "1710 + 308 promoted - 256 to replace",
        "University of Florida, base year 1981",
        "1762",
        lambda: Flow(1710, class_in=308, sales=240, deaths=16).expected,
    ),
    Check(
        "INV-2",
        "174 x 425 lb x $64 a cwt",
        "University of Florida, base year 1981",
        "47328.00",
        lambda: sale_value(425, 64, head=174).rounded(2),
    ),
    Check(
        "INV-3",
        "classes of July 2019, thousand head",
        "USDA NASS",
        "103000",
        lambda: classes(41_700, 16_400, 14_700, 2_100, 28_100),
    ),
    Check(
        "INV-4",
        "classes of July 2018, thousand head",
        "USDA NASS",
        "103000",
        lambda: classes(41_800, 16_300, 14_500, 2_100, 28_300),
    ),
    Check(
        "HD-1",
        "100 in at 700 lb, 2 die on day 50, 98 out at 1,300 on day 170",
        "computed; definition from memory",
        "16760 head-days, 3.425 with the dead in, 3.529 with the dead out",
        lambda: (
            f"{head_days(PEN)} head-days, {gain_deads_in(PEN).rounded(3)} with the dead in,"
            f" {gain_deads_out(PEN).rounded(3)} with the dead out"
        ),
    ),
    Check(
        "WD-1",
        "last dose Fri 2025-03-07 09:00, 5 days",
        "days of 24 hours: FAAST Reviews; example from memory",
        "Wed 2025-03-12 09:00",
        lambda: f"{free_at(datetime(2025, 3, 7, 9, tzinfo=UTC), 5):%a %Y-%m-%d %H:%M}",
    ),
    Check(
        "WD-2",
        "last dose 2025-03-07 15:30, 28 days",
        "days of 24 hours: FAAST Reviews; example from memory",
        "2025-04-04 15:30",
        lambda: f"{free_at(datetime(2025, 3, 7, 15, 30, tzinfo=UTC), 28):%Y-%m-%d %H:%M}",
    ),
    Check(
        "PE-1",
        "1, 2 base; 3(1,2) 4(1,-) 5(4,3) 6(5,2)",
        "example of Mrode 2005; relationships computed",
        "F5 0.125, F6 0.125; with 6: 5 0.6875, 2 0.625, 3 0.5625, 4 0.3125",
        mrode,
    ),
    Check(
        "PE-2 F",
        "F16 and F17 of the sample of 17",
        "README of PyAGH 0.3.3, re-checked",
        "0.0625, 0.0",
        lambda: ", ".join(str(float(inbreeding_coefficients(SAMPLE)[one])) for one in (16, 17)),
    ),
    Check(
        "PE-2 r(14,16)",
        "Wright's relationship",
        "README of PyAGH 0.3.3, re-checked",
        "0.121268",
        lambda: wright(14, 16),
    ),
    Check(
        "PE-2 r(16,17)",
        "Wright's relationship",
        "README of PyAGH 0.3.3, re-checked",
        "0.333486",
        lambda: wright(16, 17),
    ),
    *(
        Check(
            row[0].split()[0],
            "; ".join(row[1]),
            "genetic-genealogy.co.uk, figures 64 to 70, re-checked",
            printed(row),
            lambda row=row: figures(row),
        )
        for row in FIGURES
    ),
]

LEFT_OUT = [
    LeftOut(
        "SPA-8",
        "national calf losses of 1997, 2.1 + 1.1 + 1.1 + 1.2 = 5.5 %",
        "a plain sum over stages that the record does not tell apart",
    ),
    LeftOut(
        "IJ-1",
        "35 cc need at least 4 sites of 10 cc",
        "a product’s label decides on volume a site; nothing is reckoned",
    ),
    LeftOut("FS-5, other rows", "bull table at 11, 13, 14, 16, 17, 19 and 20 months", "these rows were not at hand"),
    LeftOut(
        "452 and 550 days", "multipliers 247 and 345 for weights at 452 and 550 days", "from memory only; not reckoned"
    ),
    LeftOut(
        "linear hip heights", "0.033 and 0.025 in a day around 205 days", "from memory, low confidence; not shipped"
    ),
    LeftOut(
        "Angus 0.032",
        "a society’s later factor with a table for the dam’s age",
        "its table was not seen; set it as an own value",
    ),
    LeftOut("minimum circumferences", "30 to 34 cm by age", "from memory; the veterinarian judges soundness"),
    LeftOut(
        "gestation of males, of cows",
        "+1.5 and +1.9 days",
        "means of one review; a due date is no closer than ±12 days",
    ),
    LeftOut(
        "537 and 490 lb", "calves of days 1-21 weigh 47 lb more than those of days 22-42", "a difference of herd means"
    ),
    LeftOut(
        "240 of 1,710 cows sold", "14 % of the opening, 144 + 96 by grade", "grades of cull cows are not recorded"
    ),
    LeftOut(
        "calf crop of 2018",
        "26,600 + 9,802.7 = 36,402.7 thousand, 73.1 %",
        "halves of a year, which no report sums",
    ),
    LeftOut(
        "unit livestock prices",
        "calf $15 and $7.50 more a year",
        "from memory; a matter of taxes, which are not done",
    ),
    LeftOut(
        "mean of 43,629 lots",
        "354 to 619 kg in 167 days, 1.55 kg a day",
        "means of lots: their quotient is another figure",
    ),
    LeftOut(
        "all 72 pigs of dietox",
        "mean 0.96008, from 0.65974 to 1.16753 kg a day",
        "the data are not kept here; ADG-3 is of them",
    ),
    LeftOut(
        "17,184 guesses of a cow",
        "mean 1,287.1 lb of a true 1,355",
        "guesses are not data; no weight is taken of them",
    ),
    LeftOut("shrink by the hour", "3.5 % in three hours, 2.5 % in a morning", "the outfit enters its own shrink"),
    LeftOut("teeth, body condition", "what is seen at each age and score", "descriptions, no arithmetic"),
    LeftOut(
        "cascade minima",
        "28 days, or half as long again as the label",
        "of another country; a veterinarian sets it",
    ),
    LeftOut("UW-Extension dates", "calve about 1 May, breed 23 July", "the source itself says approximate"),
    LeftOut(
        "benchmarks", "79.5 % weaned, 378 lb, 90-94 % calving and the like", "herd means to compare with, no arithmetic"
    ),
    LeftOut(
        "body condition in pounds", "1 score is 75-100 lb; fat 4 to 34 %", "secondary or from memory; not reckoned"
    ),
    LeftOut("expected gains by weight", "low, medium, high by 100 lb", "a table of judgements; not used"),
    LeftOut("label texts", "21 CFR 558.140 and others", "withdrawal days are typed from the label, no text is parsed"),
    LeftOut("fill", "-39 to +44 kg from one day to the next", "limits of plausibility, tested in test_weights.py"),
]
