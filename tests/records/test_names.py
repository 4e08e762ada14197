"""Names of people's own, as names of files: they stay where they are put, and no two become one."""

from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voltwright.records.names import LONGEST, free_path, safe_name, safe_path

ODD = [
    "..",
    "../../etc/passwd",
    "/etc/passwd",
    "C:\\Windows\\x",
    "a/../../b",
    "\\\\server\\share",
    ".",
    "",
    "~/.ssh/id",
    "a\0b",
]


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("Coupé of 1968", "Coupé of 1968"),
        ("bakery-round.csv", "bakery-round.csv"),
        ("as ordered/2", "as ordered-2"),
        ("../..", "-"),
        (".hidden", "hidden"),
        ("trailing. ", "trailing"),
        ("con", "_con"),
        ("Aux.csv", "_Aux.csv"),
        ("console", "console"),
        ("what?\n*", "what--"),
        ("\u202etxt.exe", "txt.exe"),  # a mark that turns the direction of writing
        ("...", "unnamed"),
    ],
)
def test_names_are_kept_as_far_as_they_can_be(name: str, safe: str) -> None:
    assert safe_name(name) == safe


@given(st.text() | st.sampled_from(ODD))
def test_a_safe_name_is_one_name_anywhere(name: str) -> None:
    safe = safe_name(name)
    assert PurePosixPath(safe).parts == (safe,)
    assert PureWindowsPath(safe).parts == (safe,)
    assert safe.split(".")[0].casefold() not in ("con", "prn", "aux", "nul", "com1", "lpt9")
    assert safe not in ("", ".", "..")
    assert len(safe.encode()) <= LONGEST + 15
    assert safe_name(safe) == safe


@given(st.text() | st.sampled_from(ODD) | st.lists(st.sampled_from([*ODD, "a", "/", "\\"])).map("".join))
def test_a_safe_path_stays_below(name: str) -> None:
    home = Path("/home-of-cars")
    path = safe_path(name)
    assert not path.is_absolute()
    assert ".." not in path.parts
    assert (home / path).resolve().is_relative_to(home)
    assert PureWindowsPath(path).drive == ""


def test_paths_that_are_safe_stay_what_they_were() -> None:
    assert safe_path("traces/hill 2.csv") == PurePosixPath("traces/hill 2.csv")


def test_no_two_become_one() -> None:
    taken = ["Van", "van 2"]
    assert free_path(PurePosixPath("VAN"), taken) == PurePosixPath("VAN 3")
    assert free_path(PurePosixPath("a/b.csv"), ["A/B.CSV"]) == PurePosixPath("a/b 2.csv")
