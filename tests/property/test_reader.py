"""Whatever is thrown at the reader, it ends in a valid build or in words, within a person's patience; and a build can be assessed."""

from __future__ import annotations

import copy
import json
import re
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from voltwright.build.paths import Spot, spot_at
from voltwright.build.reader import BuildFile, from_document, kind_at, load, loads
from voltwright.build.variants import apply_variant
from voltwright.papers.text import summary
from voltwright.parts.shelf import catalogue
from voltwright.quantity.document import parse
from voltwright.quantity.entry import Expect, Written, WrittenInt
from voltwright.quantity.errors import Problem, VoltwrightError
from voltwright.quantity.units import SYSTEMS
from voltwright.rules.dossier import assess

ROOT = Path(__file__).parents[2]
ROUTE = "route: seaside.gpx, payload: 340 lb, wind: 12 mph ± 4 mph, wind_from: south-west"
assert ROUTE in (ROOT / "examples/roadster.yaml").read_text(encoding="utf-8")
TEXTS = tuple(
    (ROOT / name).read_text(encoding="utf-8").replace(ROUTE, "trip: steady-50")  # texts alone have no files beside them
    for name in ("examples/coupe.yaml", "examples/roadster.yaml", "tests/unit/golden/format-1.yaml")
)
DOCUMENTS = tuple(parse(text, "build.yaml") for text in TEXTS)
LONG = 10.0  # s of processor time: nothing here may take a person's patience, on the slowest machine either

# Scalars as the reader hands them on: text, whole numbers, true, false, null.
ODD_TEXTS = st.sampled_from(
    [
        "", " ", "0", "-1", "nan", ".nan", ".inf", "-.inf", "inf kg", "1e308 kg", "1e-300 kg", "1e15", "0 kg", "-5 kg", "1e-9 kg",
        "20000 kg", "0 m", "20 m", "-10 m", "1e-6 m", "2,4 m", "1 000 kg", "5 .. 2 kg", "0 .. 20000 kg", "1 kg ± 1 kg", "10 kg ± 9.9 kg",
        "0 %", "100 %", "0.0001 %", "120 %", "-60 °C", "200 °C", "0 K", "1e400 V", "1500 V", "0.001 V", "50000 A", "1e-6 A", "0 EUR",
        "1e8 EUR", "0.001 EUR", "5 XYZ", "5 USD", "1 h", "0 h", "1e-9 N/mm", "2000 N/mm", "0.001 Hz", "10 Hz", "\u202egk 5", "é", "٣ kg",
        "module/nmc-12s-50ah", "module/nca-6s70p-217ah", "module/lfp-4s-280ah", "motor/pm-25kw-96v", "inverter/130v-400a", "cell/none",
        "bms/16ch-200v", "charger/11kw-3ph-350v", "fuse/500v-400a", "positive", "heated-garage", "165 R 14", "5.60-13", "6.00-16 PR",
        "165/80R14 85S", "P 999/99 R 99 199 Z", "USD", "JPY", "steady-80", "a.b", "x" * 300, "<<", "true", "~", "1:30", "0x10", "'", '"',
    ]
)  # fmt: skip
SCALARS = st.one_of(
    ODD_TEXTS,
    st.integers(-3, 300),
    st.integers(-(10**16), 10**16),
    st.booleans(),
    st.none(),
    st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=12),
    st.builds(
        lambda value, unit: f"{value!r} {unit}",
        st.floats(),
        st.sampled_from(["kg", "m", "mm", "%", "°C", "V", "A", "EUR", "h", ""]),
    ),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["value", "how", "note", "x", "mass", "name"]), inner, max_size=3)
    ),
    max_leaves=5,
)


def places(value: Any) -> list[tuple[Any, Any]]:
    """Every holder with a name or index in it, the outermost first."""
    found: list[tuple[Any, Any]] = []
    steps = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    for step in steps:
        found += [(value, step), *places(value[step])]
    return found


@st.composite
def changed_roots(draw: Callable[..., Any]) -> tuple[int, dict[str, Any]]:
    """One of the documents with one to four values replaced, deleted, doubled, renamed or moved."""
    which = draw(st.integers(0, len(DOCUMENTS) - 1))
    root = copy.deepcopy(DOCUMENTS[which].root)
    for _ in range(draw(st.integers(1, 4))):
        here = places(root)
        if not here:
            break
        holder, step = here[draw(st.integers(0, len(here) - 1))]
        change(draw, here, holder, step)
    return which, root


def change(draw: Callable[..., Any], here: list[tuple[Any, Any]], holder: Any, step: Any) -> None:
    way = draw(st.sampled_from(["replace", "replace", "replace", "delete", "double", "rename", "move", "empty"]))
    if way == "replace":
        holder[step] = draw(VALUES)
    elif way == "empty":
        holder[step] = draw(st.sampled_from([[], {}, None]))
    elif way == "delete":
        del holder[step]
    elif way == "double" and isinstance(holder, list):
        holder.append(copy.deepcopy(holder[step]))
    elif way == "rename" and isinstance(holder, dict):
        holder[draw(st.sampled_from([f"{step}x", str(step)[1:] or "y", "<<", "value", "boxes"]))] = holder.pop(step)
    elif way == "move":
        other, there = here[draw(st.integers(0, len(here) - 1))]
        other[there] = copy.deepcopy(holder[step])


def as_read(value: Any, path: str = "") -> Any:
    """Plain data as the reader of YAML makes it."""
    if isinstance(value, dict):
        return {str(key): as_read(item, f"{path}.{key}".strip(".")) for key, item in value.items()}
    if isinstance(value, list):
        return [as_read(item, f"{path}.{index}") for index, item in enumerate(value)]
    if isinstance(value, bool) or value is None:
        return value
    return WrittenInt.at(value, path) if isinstance(value, int) else Written.at(value, path)


def outcome(do: Callable[[], Any]) -> tuple[Any, tuple[Problem, ...]]:
    """What came of it, or the words in which it was refused."""
    try:
        return do(), ()
    except VoltwrightError as error:
        return None, error.problems


def faults_of(read: Callable[[], BuildFile]) -> list[str]:
    """What is wrong where something is read: it must end in a build, or in words that name every problem; within a person's
    patience; and the build must be such as can be assessed and printed."""
    start = time.process_time()
    built, problems = outcome(read)
    spent = time.process_time() - start
    faults = [f"it took {spent:.1f} s"] if spent >= LONG else []
    if bool(built) == bool(problems):
        faults.append("neither a build nor words, or both")
    faults += [f"a problem lacks words: {each!r}" for each in problems if not is_told(each)]
    return faults if built is None else faults + faults_assessed(built)


def is_told(problem: Problem) -> bool:
    """Whether it says what is wrong and where, what is allowed, and how to mend it."""
    return bool(problem.what and problem.allowed and problem.mend and problem.file)


def faults_assessed(built: BuildFile) -> list[str]:
    """What is wrong where a build is assessed and printed."""
    dossier, problems = outcome(lambda: assess(built))
    if dossier is None:
        return [] if problems else ["neither a dossier nor words"]
    text = json.dumps(dossier.as_data(), allow_nan=False)
    faults = ["a number that is none stands in a working"] if re.search(r"\b(nan|inf)\b", text) else []
    for key, figure in json.loads(text)["figures"].items():
        lacks_band = figure["reason"].startswith("no band")
        if (figure["value"] is None) != (bool(figure["reason"]) and not lacks_band):
            faults.append(f"{key}: neither a value nor a reason, or both")
    for system in SYSTEMS:
        if not summary(dossier, system):
            faults.append(f"nothing is printed in {system}")
        for key, figure in dossier.figures.items():
            printed = f"{figure.printed(system)} {figure.printed_band(system)}"
            if {"nan", "inf", "-inf"} & set(printed.lower().split()):
                faults.append(f"{key}: printed as {printed}")
    return faults


SLOW = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])


@settings(SLOW, max_examples=200)
@given(changed_roots())
def test_changed_builds(changed: tuple[int, dict[str, Any]]) -> None:
    which, root = changed
    document = replace(DOCUMENTS[which], root=as_read(root))
    assert faults_of(lambda: from_document(document, catalogue())) == []


def spots(root: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, Any, tuple[Any, ...], Spot]]:
    """Every place of a document that the schema knows, with the holder of it."""
    found = []
    for holder, step in [(root, step) for step in (root if isinstance(root, dict) else range(len(root)))]:
        here = spot_at((*path, step))
        if here is not None and path[:1] != ("variants",) and step != "voltwright":
            found.append((holder, step, (*path, step), here))
            if isinstance(holder[step], (dict, list)) and here.expect is None:
                found += spots(holder[step], (*path, step))
    return found


def allowed_values(path: tuple[Any, ...], here: Spot, currency: str) -> st.SearchStrategy[Any] | None:
    """What the schema allows at a place, its edges above all."""
    kind = kind_at(".".join(str(step) for step in path))
    if kind:
        return st.sampled_from(catalogue().ids(kind))
    if here.expect is not None:
        return quantities(here.expect, currency)
    if get_origin(here.kind) is Literal:
        return st.sampled_from(get_args(here.kind))
    low, high = here.bound("ge"), here.bound("le")
    if here.kind is int and low is not None and high is not None:
        return st.sampled_from([low, high]) | st.integers(low, min(high, low + 30))
    return None


def quantities(expect: Expect, currency: str) -> st.SearchStrategy[str]:
    unit = "" if expect.unit == "1" else expect.unit.replace("currency", currency)
    low = expect.least if expect.least is not None else float(expect.above or 0) + 1e-6
    high = float(expect.most if expect.most is not None else low + 100)
    numbers = (
        st.sampled_from([low, high, min(low + 1e-3, high)]) | st.floats(low, high) | st.floats(low, min(high, low + 10))
    )
    shown = numbers.map(lambda number: f"{number:.9f}")
    return st.one_of(
        shown.map(lambda number: f"{number} {unit}"),
        st.tuples(numbers, numbers).map(lambda two: f"{min(two):.9f} .. {max(two):.9f} {unit}"),
        st.tuples(shown, st.sampled_from(["1e-6", "0.5", "3"])).map(lambda two: f"{two[0]} ± {two[1]} {unit}"),
    )


@st.composite
def allowed_roots(draw: Callable[..., Any]) -> tuple[int, dict[str, Any]]:
    """One of the documents with some values exchanged for others that the schema allows, or left out."""
    which = draw(st.integers(0, len(DOCUMENTS) - 1))
    root = copy.deepcopy(DOCUMENTS[which].root)
    root.pop("variants", None)
    for _ in range(draw(st.integers(1, 5))):
        here = spots(root)
        holder, step, path, spot = here[draw(st.integers(0, len(here) - 1))]
        values = allowed_values(path, spot, str(root.get("currency", "EUR")))
        if values is None or draw(st.integers(0, 9)) == 0:
            del holder[step]
        else:
            holder[step] = draw(values)
    return which, root


@settings(SLOW, max_examples=160)
@given(allowed_roots())
def test_allowed_builds(changed: tuple[int, dict[str, Any]]) -> None:
    which, root = changed
    document = replace(DOCUMENTS[which], root=as_read(root))
    assert faults_of(lambda: from_document(document, catalogue())) == []


@pytest.mark.parametrize("which", range(len(TEXTS)))
def test_variants_can_be_assessed(which: int) -> None:
    built = loads(TEXTS[which])
    for name in built.build.variants:
        document = replace(built.document, root=apply_variant(built.document.root, built.build, name))
        assert faults_assessed(from_document(document, built.shelf)) == [], name


def test_some_of_these_documents_have_variants() -> None:
    """Else the test above looked at nothing."""
    assert any(loads(text).build.variants for text in TEXTS)


@st.composite
def changed_texts(draw: Callable[..., Any]) -> str:
    """A document whose lines or characters were shuffled, doubled, cut or overwritten."""
    lines = draw(st.sampled_from(TEXTS)).splitlines()
    for _ in range(draw(st.integers(1, 3))):
        index = draw(st.integers(0, len(lines) - 1))
        way = draw(st.sampled_from(["double", "delete", "swap", "indent", "insert", "cut", "character"]))
        if way == "double":
            lines.insert(index, lines[index])
        elif way == "delete" and len(lines) > 1:
            del lines[index]
        elif way == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[index], lines[other] = lines[other], lines[index]
        elif way == "indent":
            lines[index] = " " * draw(st.integers(0, 9)) + lines[index].lstrip()
        elif way == "insert":
            lines.insert(index, draw(st.text(max_size=30)))
        elif way == "cut":
            lines = lines[: index + 1]
        else:
            at = draw(st.integers(0, len(lines[index])))
            sign = draw(st.characters() | st.sampled_from("&*!|>%@`{}[],:#?-'\"\t\0\u2028"))
            lines[index] = lines[index][:at] + sign + lines[index][at + draw(st.integers(0, 1)) :]
    return draw(st.sampled_from(["\n", "\r\n", "\r"])).join(lines)


@settings(SLOW, max_examples=80)
@given(changed_texts())
def test_changed_texts(text: str) -> None:
    assert faults_of(lambda: loads(text)) == []


PIECES = st.sampled_from(
    [
        "voltwright: 1\n", "voltwright: 2\n", "title: x\n", "brief:\n", "  load: 5 kg\n", "- ", "? ", ": ", "{", "}", "[", "]", ",",
        "&a ", "*a", "!!str ", "! ", "|\n", ">\n", "'", '"', "#c\n", "%YAML 1.1\n", "---\n", "...\n", "<<: ", "\\x00", "\\ud800",
        "\t", "  ", "\n", "\0", "é", "\ufeff", "null", "~", "1e999", "0x1F", ".nan", "2001-01-01", "a: b: c", "=", "@", "`",
    ]
)  # fmt: skip


@settings(SLOW, max_examples=400)
@given(st.one_of(st.text(max_size=200), st.lists(PIECES, max_size=30).map("".join)))
@example("voltwright: 1\n")
@example("{" * 5000)
@example("- " * 900)
def test_random_texts(text: str) -> None:
    assert faults_of(lambda: loads(text)) == []


def encoded(encoding: str) -> bytes:
    return TEXTS[0].encode(encoding, errors="replace")


@settings(SLOW, max_examples=60)
@given(st.binary(max_size=300) | st.sampled_from(["latin-1", "utf-16", "utf-16-le", "utf-32", "cp1252"]).map(encoded))
@example(b"")
@example(b"\xff\xfe\x00")
@example(b"voltwright: 1\ntitle: \x00")
def test_random_bytes(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "random.yaml"
    path.write_bytes(content)
    assert faults_of(lambda: load(path)) == []


def after(line: str, more: str) -> str:
    """The coupé with more lines after one of its own."""
    assert line in TEXTS[0]
    return TEXTS[0].replace(line, line + more, 1)


ROW = 1_980
WORST = {
    "comments": "voltwright: 1\n" + ("#" * ROW + "\n") * 150,
    "short comments": "voltwright: 1\n" + "#\n" * 9_900,
    "names": "".join(f"n{index}: v\n" for index in range(9_900)),
    "commented names": "".join(f"n{index}: v # c\n" for index in range(9_900)),
    "a list": "voltwright: 1\na: [\n" + "1, 2, 3, 4, 5, 6, 7, 8,\n" * 9_900 + "]\n",
    "a map in brackets": "a: {" + ",\n".join(f"n{index}: 1" for index in range(9_900)) + "}\n",
    "folded text": "a: >\n" + ("  " + "word " * 390 + "\n") * 150,
    "quoted text": 'a: "' + ("word " * 390 + "\n  ") * 150 + '"\n',
    "open quote": 'a: "' + ("word " * 390 + "\n  ") * 150,
    "plain text": "a: " + ("word " * 390 + "\n  ") * 150,
    "long quoted names": "".join(f'"{index} {"word " * 18}": "{"word " * 35}"\n' for index in range(1_000)),
    "brackets": ("[" * ROW + "\n") * 150,
    "tags": ("!" * ROW + "\n") * 150,
    "anchors": ("&" * ROW + "\n") * 150,
    "questions": "?\n" * 9_900,
    "unknown names": "voltwright: 1\n" + "".join(f"{'abcdefgh' * 10}{index}: 1\n" for index in range(1_900)),
    "unknown parts": TEXTS[0] + "fitted:\n" + "".join(f"  - {{part: motor/x{index}, x: 0 m, z: 0 m}}\n" for index in range(400)),
    "unknown prices": after("costing:\n", "  prices:\n" + "".join(f"    motor/x{index}: 5 EUR\n" for index in range(1_000))),
    "many variants": after("variants:\n", "".join(f"  v{index}: {{changes: {{pack.series: 8}}}}\n" for index in range(19))),
}  # fmt: skip


@pytest.mark.parametrize("name", WORST)
def test_worst_texts(name: str) -> None:
    """Texts near every limit: as many characters, lines or values as the reader takes."""
    assert faults_of(lambda: loads(WORST[name][:300_000])) == []


@pytest.mark.parametrize("size", [300_001, 1_000_001, 10_000_000])
def test_large_files(tmp_path: Path, size: int) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"voltwright: 1\n" + b"# fill\n" * (size // 7))
    start = time.process_time()
    with pytest.raises(VoltwrightError, match=r"characters|larger than 1 MB"):
        load(path)
    assert time.process_time() - start < LONG
