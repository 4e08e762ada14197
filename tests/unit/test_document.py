"""Reading YAML safely, and writing whole or not at all."""

from __future__ import annotations

import codecs
import errno
import os
import stat
import tempfile
from pathlib import Path

import pytest

from voltwright.quantity import document as documents
from voltwright.quantity.document import Document, parse, read_text, tree_of, write_whole
from voltwright.quantity.entry import Written, WrittenInt
from voltwright.quantity.errors import BuildError, FileError, OutputError, Problem
from voltwright.quantity.yaml_text import DEEPEST, MOST_VALUES, dump

ROOT = Path(__file__).parents[2]
FILES = sorted([*(ROOT / "examples").glob("*.yaml"), *(Path(__file__).parent / "golden").glob("*.yaml")])


def refused(text: str) -> Problem:
    """The one problem of a text, complete in every part."""
    with pytest.raises(BuildError) as caught:
        parse(text, "car.yaml")
    (problem,) = caught.value.problems
    assert problem.file == "car.yaml"
    assert problem.what
    assert problem.allowed
    assert problem.mend
    return problem


def test_scalars_remember_their_path_and_their_text() -> None:
    made = parse("a:\n  b: [2.40, 3]\n  c: true\n  d:\n  e: 'no'\n")
    numbers = made.root["a"]["b"]
    assert made.root == {"a": {"b": ["2.40", 3], "c": True, "d": None, "e": "no"}}
    assert [type(each) for each in numbers] == [Written, WrittenInt]
    assert [each.path for each in numbers] == ["a.b.0", "a.b.1"]


def test_lines_are_known() -> None:
    made = parse("# one\na:\n  b: 1\n  c:\n    - x: 2\n    - x: 3\n")
    assert [made.line_of(path) for path in ("a", "a.b", "a.c.1.x", "a.c.1.y", "a.z.q", "nothing")] == [2, 3, 6, 6, 2, 1]
    assert Document({}, {}).line_of("a") is None


@pytest.mark.parametrize(
    "text",
    [
        "NO",
        "yes",
        "1e5",
        "2.40",
        ".nan",
        ".inf",
        "0x1F",
        "0o17",
        "1_000",
        "1:30",
        "2020-02-30",
        "2020-13-01T25:00:00Z",
        "=",
        "007",
        "1" * 30,
    ],
)
def test_a_scalar_is_the_text_that_was_typed(text: str) -> None:
    assert parse(f"a: {text}\n").root["a"] == text


@pytest.mark.parametrize(
    ("text", "value"),
    [("12", 12), ("-3", -3), ("true", True), ("False", False), ("~", None), ("null", None), ("", None)],
)
def test_whole_numbers_truth_and_nothing_are_known(text: str, value: object) -> None:
    assert parse(f"a: {text}\n").root["a"] == value


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("a: 1\nb: 2\na: 3\n", 3, "'a' stands here twice"),
        ("a:\n  b: 1\n  b: 1\n", 3, "'b' stands here twice"),
        ("a: {b: 1, b: 2}\n", 1, "'b' stands here twice"),
        ("a: &x 1\nb: 2\n", 1, "alias or anchor"),
        ("a: 1\nb: *x\n", 2, "alias or anchor"),
        ("a: &x [*x]\n", 1, "alias or anchor"),
        ("a: !!str 1\n", 1, "a tag (tag:yaml.org,2002:str)"),
        ("a: !mine 1\n", 1, "a tag (!mine)"),
        ("a: ! 1\n", 1, "a tag (!)"),
        ("b: 1\na: !!omap\n  - x: 1\n", 2, "a tag"),
        ("a: !!set {x}\n", 1, "a tag"),
        ("a: !!python/object/apply:os.system [x]\n", 1, "a tag"),
        ("%YAML 1.1\n---\na: 1\n", 1, "a directive"),
        ("%TAG ! tag:x,2002:\n---\na: 1\n", 1, "a directive"),
        ("a: 1\n---\nb: 2\n", 2, "another document"),
        ("a: 1\n\tb: 2\n", 2, "not YAML"),
        ("a: [1, 2\nb: 3\n", 2, "not YAML"),
        ("a: 'open\n", 2, "not YAML"),
        ("a: 1\n b: 2\n", 2, "not YAML"),
        ("? [a, b]\n: 1\n", 1, "is not a name"),
        ("{a: b}: 1\n", 1, "is not a name"),
        ("a: 1\n12: 1\n", 2, "'12' is not a name"),
        ("true: 1\n", 1, "is not a name"),
        ("~: 1\n", 1, "is not a name"),
        ("'': 1\n", 1, "is not a name"),
        (f"{'k' * 101}: 1\n", 1, "is not a name"),
        ("a: 1\nb: 'x\\e'\n".replace("'", '"'), 2, "control character (U+001B)"),
        ('a: "\\ud800"\n', 1, "control character (U+D800)"),
        ('"\\a": 1\n', 1, "control character (U+0007)"),
        ("a: 1\nb: x\0y\n", 2, "control character (U+0000)"),
        ("a: 1\n\nb: x\x7fy\n", 3, "control character (U+007F)"),
        ("a: x\u2028y\n", 1, "control character (U+2028)"),
        ("", 1, "does not hold a list of names and values"),
        ("# nothing\n", 1, "does not hold a list of names and values"),
        ("- a\n- b\n", 1, "does not hold a list of names and values"),
        ("hello\n", 1, "does not hold a list of names and values"),
    ],
)
def test_what_is_refused_is_refused_with_its_line(text: str, line: int, what: str) -> None:
    problem = refused(text)
    assert what in problem.what
    assert problem.line == line


def test_a_merge_key_is_a_plain_name() -> None:
    assert parse("a:\n  <<: {b: 1}\n").root == {"a": {"<<": {"b": 1}}}


def test_too_deep_is_refused_and_deep_is_read() -> None:
    deep = "".join(f"{'  ' * level}a:\n" for level in range(DEEPEST - 1))
    assert parse(deep).root
    assert "nested more than" in refused(f"{deep}{'  ' * (DEEPEST - 1)}a: 1\n").what
    assert "nested more than" in refused("a: " + "[" * 1_900).what


def test_too_much_is_refused() -> None:
    fits = "a: 1\n" + "# x\n" * 9_000
    assert parse(fits).root == {"a": 1}
    assert "lines" in refused(fits + "# x\n" * 1_001).what
    assert "characters" in refused("a: 1\n" + ("#" * 1_000 + "\n") * 300).what
    assert "values" in refused("a: [" + "1,\n" * MOST_VALUES + "]\n").what
    long = refused("a: 1\nb: " + "x" * 2_000 + "\n")
    assert (long.line, "2003 characters" in long.what) == (2, True)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_end_of_line_is_read(end: str) -> None:
    made = parse(f"# c{end}a: 1{end}b:{end}  c: x{end}")
    assert made.root == {"a": 1, "b": {"c": "x"}}
    assert made.lines == {"a": 2, "b": 3, "b.c": 4}


def test_a_byte_order_mark_is_left_out() -> None:
    assert parse("\ufeffa: 1\n").root == {"a": 1}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_an_untouched_document_is_written_byte_for_byte(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert dump(tree_of(parse(text))) == text


# Files.


def file_error(path: Path) -> Problem:
    with pytest.raises(FileError) as caught:
        read_text(path)
    assert caught.value.code == "VW201"
    (problem,) = caught.value.problems
    assert problem.file == path.name
    assert problem.allowed
    assert problem.mend
    return problem


def test_a_missing_file(tmp_path: Path) -> None:
    assert "there is no file" in file_error(tmp_path / "none.yaml").what
    (tmp_path / "lost.yaml").symlink_to(tmp_path / "gone.yaml")
    assert "there is no file" in file_error(tmp_path / "lost.yaml").what


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in file_error(tmp_path).what


def test_a_file_as_a_folder(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("x")
    assert "cannot be read" in file_error(tmp_path / "a" / "b.yaml").what


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    assert "cannot be read" in file_error(tmp_path / ("x" * 300)).what
    assert "cannot be read" in file_error(tmp_path / "a\0b").what


def test_a_file_that_nobody_may_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulated: to root every file is readable."""
    path = tmp_path / "secret.yaml"
    path.write_text("a: 1\n")

    def deny(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "open", deny)
    problem = file_error(path)
    assert "Permission denied" in problem.what
    assert "who may read it" in problem.mend


def test_a_device_without_end() -> None:
    assert "larger than 1 MB" in file_error(Path("/dev/zero")).what


def test_ten_megabytes(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_bytes(b"a: 1\n" * 2_000_000)
    assert "larger than 1 MB" in file_error(path).what


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "utf-16", "utf-32"])
def test_another_encoding(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "car.yaml"
    path.write_bytes("a: 1\ntitle: Coupé\n".encode(encoding))
    problem = file_error(path)
    assert "not written as UTF-8" in problem.what
    assert "UTF-8" in problem.mend
    assert problem.line == (2 if encoding in ("latin-1", "cp1252") else 1)


def test_utf_16_without_a_mark(tmp_path: Path) -> None:
    path = tmp_path / "car.yaml"
    path.write_bytes("a: 1\n".encode("utf-16-le"))
    assert "U+0000" in refused(read_text(path)).what


def test_utf_8_with_and_without_a_mark(tmp_path: Path) -> None:
    path = tmp_path / "car.yaml"
    for mark in (b"", codecs.BOM_UTF8):
        path.write_bytes(mark + "title: Coupé\n".encode())
        assert read_text(path) == "title: Coupé\n"


# Writing.


def test_a_file_is_written_whole_and_keeps_its_rights(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "car.yaml"
    write_whole(path, b"one")
    assert stat.S_IMODE(path.stat().st_mode) == 0o644
    path.chmod(0o600)
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [each.name for each in path.parent.iterdir()] == ["car.yaml"]


FAULTS = {
    "no right to write": (tempfile, "mkstemp", errno.EACCES),
    "a read-only disk": (tempfile, "mkstemp", errno.EROFS),
    "no room left": (os, "fsync", errno.ENOSPC),
    "a fault while replacing": (Path, "replace", errno.EIO),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_nothing_is_written_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str) -> None:
    path = tmp_path / "car.yaml"
    path.write_bytes(b"old")
    place, name, number = FAULTS[fault]

    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patched:
        patched.setattr(place, name, fail)
        with pytest.raises(OutputError) as caught:
            write_whole(path, b"new" * 1000)
    (problem,) = caught.value.problems
    assert os.strerror(number) in problem.what
    assert problem.allowed
    assert problem.mend
    assert path.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["car.yaml"]


def test_nothing_is_left_where_writing_is_interrupted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(documents.os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "car.yaml", b"new")
    assert list(tmp_path.iterdir()) == []


def test_a_place_where_no_file_can_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    for path in (tmp_path, tmp_path / "file" / "car.yaml", tmp_path / "a\0b", tmp_path / ("x" * 300)):
        with pytest.raises(OutputError, match="cannot be written"):
            write_whole(path, b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["file"]
