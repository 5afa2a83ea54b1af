"""The handbook says what the program does: measures, findings, keys, sources and links, read from the source itself."""

from __future__ import annotations

import ast
import importlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from telemetry.model.catalogue import CATALOGUE
from telemetry.model.finding_codes import BY_CODE, FINDINGS, FindingSpec, Severity
from telemetry.model.ranges import Range
from telemetry.model.setup_keys import OF_BIKE, OF_ENDS, SettingSpec
from telemetry.ride_day.tables import known_keys

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md"), *(ROOT / "sample_runs").rglob("*.md")])
SOURCES = sorted([*(ROOT / "telemetry").rglob("*.py"), *(ROOT / "dashboards").rglob("*.py")])
KEY = re.compile(r"\[([A-Z][A-Za-z]+[0-9]{4}[a-z]?)\]")
LINK = re.compile(r"(?<!!)\[[^\]]*\]\(([^)\s]+)\)|!\[[^\]]*\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ +(.+?) *$", re.MULTILINE)
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
LIMITS = re.compile(r"^\| [^|]+ \| ([-+.\de]+)( %)?[^|]* \| `([a-z_.]+)\.([A-Z_]+)` \|$", re.MULTILINE)
LISTED = ("statistics", "comparison", "planning")
"""Packages of which every limit stands in a table of the handbook."""
SETTINGS = re.compile(r"^\| `([a-z_0-9]+)` \| ([^|]+) \| ([^|]+) \| ([^|]*) \|$", re.MULTILINE)
CASES = re.compile(r"^\| `([a-z_]+)` \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", re.MULTILINE)
FIRST_CELLS = re.compile(r"^\| `([a-z_]+)` \| ([^|]*) \|", re.MULTILINE)


OF = {
    "log": "The log and its clock",
    "sensor": "The sensors",
    "zero": "Zero and full travel",
    "run": "The run as a whole",
    "recording": "Recordings off the trail",
    "comparison": "The comparison",
    "prediction": "Ridden on paper",
}
"""What a finding is of, and the section that describes it."""


def prose(page: Path) -> str:
    """Return a page without its code blocks."""
    return FENCE.sub("", page.read_text(encoding="utf-8"))


def headings(page: Path) -> list[str]:
    return [heading.replace("`", "") for heading in HEADING.findall(prose(page))]


def anchor(heading: str) -> str:
    """Return the anchor that Markdown hosts make of a heading."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def sections(page: Path) -> dict[str, str]:
    """Return the text beneath each heading."""
    parts = re.split(r"^#+ +(.+?) *$", prose(page), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def named(page: Path) -> str:
    return str(page.relative_to(ROOT))


def functions_taking_a_code(trees: list[ast.Module]) -> dict[str, int]:
    """Return functions with a parameter `code` and its place among a call's arguments."""
    found = {}
    for tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                names = [argument.arg for argument in node.args.args if argument.arg != "self"]
                if "code" in names:
                    found[node.name] = names.index("code")
    return found


def codes_in(trees: list[ast.Module]) -> Iterator[str]:
    """Yield the finding codes written down in calls: by keyword, or to a function that hands one on."""
    takers = functions_taking_a_code(trees)
    for tree in trees:
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            values = [keyword.value for keyword in node.keywords if keyword.arg == "code"]
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in takers and len(node.args) > takers[name]:
                values.append(node.args[takers[name]])
            yield from (item.value for item in values if isinstance(item, ast.Constant) and isinstance(item.value, str))


def codes_used() -> set[str]:
    return set(codes_in([ast.parse(path.read_text(encoding="utf-8")) for path in SOURCES]))


def test_codes_are_found_by_keyword_and_through_a_function_that_hands_one_on() -> None:
    source = """
class Cleaner:
    def _find(self, code, message, *, warn): return Finding(severity="note", code=code, message=message)
    def judge(self): self._find("spikes", "three", warn=True)
def other(): return Finding(severity="error", code="stuck", message="at 3 mm")
"""
    assert sorted(codes_in([ast.parse(source)])) == ["spikes", "stuck"]


@pytest.mark.parametrize("name", [spec.name for spec in CATALOGUE])
def test_every_measure_has_its_section_with_unit_formula_source_and_limits(name: str) -> None:
    text = sections(DOCS / "measures.md").get(name)
    assert text is not None, f"docs/measures.md lacks a section headed {name}"
    lacking = [word for word in ("unit", "formula", "source", "limits") if f"**{word}**" not in text.lower()]
    assert lacking == []


@pytest.mark.parametrize("spec", CATALOGUE, ids=lambda spec: spec.name)
def test_the_handbook_prints_the_unit_and_smallest_change_in_force(spec) -> None:
    text = " ".join(sections(DOCS / "measures.md")[spec.name].split())
    unit = "share of critical damping" if spec.unit == "-" else spec.unit
    assert re.search(rf"\*\*Unit\*\* {re.escape(unit)}(?![\w/])", text)
    assert ("**Compared**" in text) == spec.in_family
    if spec.smallest_change is not None:
        compared = text[text.index("**Compared**") :].split(" **")[0]
        assert spec.smallest_change.entered.replace("x", "×") in compared


def test_no_section_describes_a_measure_that_is_not_there() -> None:
    like_names = {
        heading for heading in headings(DOCS / "measures.md") if re.fullmatch(r"[a-z]+(_[a-z0-9]+)+", heading)
    }
    assert like_names - {spec.name for spec in CATALOGUE} == set()


def told_of(code: str) -> tuple[str, list[str], list[str]]:
    """Return the section that describes a finding first, its severities as they stand there, and what to do."""
    found = [
        (heading, severity, remedy)
        for heading, text in sections(DOCS / "findings.md").items()
        for name, severity, _, remedy in CASES.findall(text)
        if name == code and heading in OF.values()
    ]
    return found[0][0], [severity for _, severity, _ in found], [remedy for _, _, remedy in found]


def test_every_finding_of_the_catalogue_is_made_and_described_and_no_other() -> None:
    described = {code for code, _ in FIRST_CELLS.findall(prose(DOCS / "findings.md")) if code not in get_args(Severity)}
    assert described == codes_used() == set(BY_CODE)
    assert len(BY_CODE) == len(FINDINGS)


@pytest.mark.parametrize("spec", FINDINGS, ids=lambda spec: spec.code)
def test_the_handbook_tells_a_finding_as_the_catalogue_has_it(spec: FindingSpec) -> None:
    heading, severities, remedies = told_of(spec.code)
    assert heading == OF[spec.of]
    words = [part.strip() for cell in severities for part in cell.split(";")]
    firsts = {word.split()[0] for word in words} & set(get_args(Severity))
    assert firsts == {spec.severity, *spec.also}
    assert all(f"{severity} {when}" in words or severity in words for severity, when in spec.also.items())
    assert any(word.startswith("no verdict") for word in words) == (spec.withholds != "")
    assert any(spec.remedy in remedy for remedy in remedies)


def test_every_key_of_a_ride_day_is_described() -> None:
    text = (DOCS / "ride_day.md").read_text(encoding="utf-8")
    assert sorted(key for key in known_keys() if not re.search(rf"(?<![a-z_]){re.escape(key)}(?![a-z_])", text)) == []


def a_change_of(spec: SettingSpec) -> str:
    """Return what the handbook says that a change of a setup's key means."""
    said = []
    for word, places in (
        ("opened", spec.opens),
        ("zero", spec.at if spec.moves_zero else ()),
        ("lag", spec.moves_lag),
        ("geometry", spec.at if spec.geometry else ()),
        ("no change", () if spec.compared else spec.at),
    ):
        said += [word if set(spec.at) <= set(places) else f"{word} ({places[0]})"] if places else []
    return ", ".join(said)


def value_of(spec: SettingSpec) -> str:
    """Return what the handbook says that a setup's key holds."""
    if not isinstance(spec.holds, Range):
        return spec.holds
    low, high = (
        f"{bound:g}" if abs(bound) < 10_000 else f"{bound:,.0f}" for bound in (spec.holds.low, spec.holds.high)
    )
    return f"{low} to {high}".replace("-", "−").replace(",", " ")


@pytest.mark.parametrize(
    ("heading", "specs"), [("Keys of an end", OF_ENDS), ("The whole bike, and anything else", OF_BIKE)]
)
def test_the_handbook_lists_a_setups_keys_as_the_catalogue_has_them(
    heading: str, specs: tuple[SettingSpec, ...]
) -> None:
    rows = SETTINGS.findall(sections(DOCS / "ride_day.md")[heading])
    stated = [(key, words, re.split("[;:,] (?!false)", value)[0], moves) for key, words, value, moves in rows]
    assert stated == [(spec.key, spec.words, value_of(spec), a_change_of(spec)) for spec in specs]
    assert [key for key, _, value, _ in rows if value.endswith("rear only")] == [
        spec.key for spec in specs if spec.at == ("rear",)
    ]


def limits() -> dict[str, float]:
    """Return the limits that the handbook's tables state, by where they stand in the source."""
    found = [row for page in sorted(DOCS.glob("*.md")) for row in LIMITS.findall(prose(page))]
    return {f"{module}.{name}": float(value) / (100 if share else 1) for value, share, module, name in found}


def numbers_of(package: str) -> set[str]:
    """Return the numbers with a name that a package's modules state themselves."""
    found = set()
    for path in sorted((ROOT / "telemetry" / package).rglob("*.py")):
        module = ".".join(path.relative_to(ROOT / "telemetry").with_suffix("").parts)
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            names = [
                name.id
                for target in getattr(node, "targets", [])
                for name in ast.walk(target)
                if isinstance(name, ast.Name)
            ]
            values = vars(importlib.import_module(f"telemetry.{module}"))
            found |= {f"{module}.{name}" for name in names if name.isupper() and isinstance(values[name], int | float)}
    return {name for name in found if not name.split(".")[-1].startswith("_")}


@pytest.mark.parametrize(("place", "stated"), limits().items())
def test_the_handbook_prints_the_limit_in_force(place: str, stated: float) -> None:
    module, name = place.rsplit(".", 1)
    assert getattr(importlib.import_module(f"telemetry.{module}"), name) == stated


@pytest.mark.parametrize("package", LISTED)
def test_every_limit_stands_in_the_handbook(package: str) -> None:
    assert numbers_of(package) - set(limits()) == set()


def test_every_source_key_leads_to_the_sources() -> None:
    known = {key for heading in headings(DOCS / "sources.md") for key in KEY.findall(heading)}
    found = {named(path): set(KEY.findall(path.read_text(encoding="utf-8"))) for path in (*SOURCES, *PAGES)}
    assert {name: keys - known for name, keys in found.items() if keys - known} == {}


def test_every_source_with_a_key_is_used() -> None:
    known = {key for heading in headings(DOCS / "sources.md") for key in KEY.findall(heading)}
    used = {key for path in SOURCES for key in KEY.findall(path.read_text(encoding="utf-8"))}
    assert known - used == set()


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_links_lead_somewhere(page: Path) -> None:
    broken = []
    for target in (first or second for first, second in LINK.findall(prose(page))):
        if re.match(r"[a-z]+:", target):
            continue
        file, _, place = target.partition("#")
        there = (page.parent / file).resolve() if file else page
        inside = there.is_relative_to(ROOT) and there.exists()
        if not inside or (place and place not in {anchor(heading) for heading in headings(there)}):
            broken.append(target)
    assert broken == []


@pytest.mark.parametrize("page", sorted(DOCS.glob("*.md")), ids=named)
def test_the_index_leads_to_every_page(page: Path) -> None:
    assert page.name == "README.md" or f"]({page.name})" in (DOCS / "README.md").read_text(encoding="utf-8")
