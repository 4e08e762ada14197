"""Signing in: passwords, waits, sessions, and what their cookie may do."""

from __future__ import annotations

import hashlib
import json
import os
from datetime import timedelta

import pytest

from at_the_door import PASSWORDS, Make, Site
from staff import ANN, BEN, CAT
from voltwright.quantity.errors import BusyError, Problem
from voltwright.records.records import Records
from voltwright.services import mishaps
from voltwright.web import attempts
from voltwright.web.attempts import FREE, LONGEST, Attempts, wait_after
from voltwright.web.entrance import LASTS, MOST_OF_ONE
from voltwright.web.journal import Journal
from voltwright.web.refusals import MustWaitError

RIGHT = {"name": "Ann", "password": PASSWORDS["Ann"]}
WRONG = {"name": "Ann", "password": "not the one"}


def test_this_computer_needs_no_sign_in(local: Site) -> None:
    assert local.caller().get("/api/session").json() == {"name": "this computer", "role": "owner"}


def test_nothing_is_open_before_the_sign_in(lan: Site) -> None:
    caller = lan.caller()
    for path in (
        "/api/cars",
        "/api/openapi.json",
        "/api/session",
        "/_nicegui/3/static/nicegui.js",
        "/builds/1",
        "/sign-in/x",
    ):
        answer = caller.get(path)
        assert answer.status_code == 401, path
        assert answer.json()["code"] == "VW704"
    answer = caller.get("/", headers={"accept": "text/html"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")


def test_sign_in_by_the_page(lan: Site) -> None:
    caller = lan.caller()
    assert 'name="password" type="password"' in caller.get("/sign-in").text
    answer = caller.post("/sign-in", data=RIGHT)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert caller.get("/api/session").json() == {"name": "Ann", "role": "owner"}
    assert caller.get("/sign-in").headers["location"] == "/"
    assert caller.post("/sign-out").headers["location"] == "/sign-in"
    assert caller.get("/api/session").status_code == 401


def test_a_wrong_password_says_no_more_than_a_wrong_name(lan: Site) -> None:
    caller = lan.caller()
    wrong, unknown = (caller.post("/sign-in", data=WRONG | {"name": name}) for name in ("Ann", "Nobody"))
    assert wrong.status_code == unknown.status_code == 401
    assert wrong.text.replace("Ann", "") == unknown.text.replace("Nobody", "")
    assert "set-cookie" not in wrong.headers


def test_what_was_typed_comes_back_as_text(lan: Site) -> None:
    name = '"><script>alert(1)</script>'
    page = lan.caller().post("/sign-in", data={"name": name, "password": "x"}).text
    assert "<script" not in page
    assert "&lt;script&gt;" in page


@pytest.mark.parametrize("tls", [False, True])
def test_the_cookie_is_out_of_reach(make: Make, tls: bool) -> None:
    site = make(lan=True, tls=tls)
    answer = site.caller().post("/api/session", json=RIGHT)
    name, *rest = answer.headers["set-cookie"].split("; ")
    flags = {each.lower() for each in rest}
    assert {"httponly", "samesite=lax", "path=/"} <= flags
    assert ("secure" in flags) is tls
    assert not any(each.startswith("domain") for each in flags)
    assert name.startswith("__Host-voltwright=" if tls else "voltwright=")


def test_the_token_is_random_and_only_its_hash_is_kept(lan: Site) -> None:
    tokens = {lan.entrance.sign_in("Ann", PASSWORDS["Ann"], "192.0.2.7") for _ in range(3)}
    assert len(tokens) == 3
    assert min(map(len, tokens)) >= 43  # 256 bits
    kept = repr(vars(lan.entrance))
    assert not [each for each in tokens if each in kept]
    assert all(hashlib.sha256(each.encode()).hexdigest() in kept for each in tokens)


def test_an_invented_token_is_none(lan: Site) -> None:
    for token in ("", "x", "0" * 43):
        caller = lan.caller(cookie=f"voltwright={token}")
        assert caller.get("/api/session").status_code == 401


def test_a_session_ends(lan: Site) -> None:
    caller = lan.signed_in(BEN)
    lan.seconds.now += LASTS - 1
    assert caller.get("/api/session").status_code == 200
    lan.seconds.now += 2
    assert caller.get("/api/session").status_code == 401


def test_the_oldest_of_many_sessions_of_one_ends(lan: Site) -> None:
    first = lan.signed_in(BEN)
    other = lan.signed_in(CAT)
    for _ in range(MOST_OF_ONE):
        lan.signed_in(BEN)
    assert first.get("/api/session").status_code == 401
    assert other.get("/api/session").status_code == 200


def test_who_leaves_is_out_and_a_role_is_that_of_now(lan: Site) -> None:
    ben, cat = lan.signed_in(BEN), lan.signed_in(CAT)
    people = {each.name: each.id for each in lan.shop.people.list(ANN)}
    lan.shop.people.change(ANN, people["Ben"], role="viewer")
    lan.shop.people.change(ANN, people["Cat"], active=False)
    assert ben.get("/api/session").json()["role"] == "viewer"
    assert cat.get("/api/session").status_code == 401


def test_a_new_password_ends_the_sessions(lan: Site) -> None:
    ann, ben = lan.signed_in(ANN), lan.signed_in(BEN)
    person = next(each["id"] for each in ann.get("/api/people").json() if each["name"] == "Ben")
    assert ann.put(f"/api/people/{person}/password", json={"password": "another one for Ben"}).status_code == 204
    assert ben.get("/api/session").status_code == 401
    own = {"old": PASSWORDS["Ann"], "new": "four green spanners"}
    assert ann.put("/api/session/password", json=own).status_code == 204
    assert ann.get("/api/session").status_code == 401


def test_a_password_that_others_change_ends_the_sessions_too(lan: Site) -> None:
    """By another process on the same records, as the command line is one. Who is out meets the form, and no circle."""
    ann, ben = lan.signed_in(ANN), lan.signed_in(BEN)
    with Records.open(lan.shop._shared.records.store.file.parent) as others:  # pyright: ignore[reportOptionalMemberAccess]
        person = next(each.id for each in others.people.list() if each.name == "Ben")
        others.people.set_password(person, "another one for Ben")
    assert ben.get("/api/session").status_code == 401
    page = ben.get("/sign-in")
    assert (page.status_code, 'name="password"' in page.text) == (200, True)
    assert ann.get("/api/session").status_code == 200, "others stay"


def test_guessing_has_to_wait(lan: Site) -> None:
    caller = lan.caller()
    for _ in range(FREE):
        assert caller.post("/api/session", json=WRONG).status_code == 401
    answer = caller.post("/api/session", json=RIGHT)
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) >= 1
    assert caller.post("/sign-in", data=RIGHT).status_code == 429
    lan.seconds.now += wait_after(FREE)
    assert caller.post("/api/session", json=RIGHT).status_code == 200


@pytest.mark.parametrize(("error", "status"), [(BusyError(Problem("locked")), 503), (ZeroDivisionError(), 500)])
def test_what_goes_wrong_otherwise_is_no_wrong_try(
    lan: Site, monkeypatch: pytest.MonkeyPatch, error: Exception, status: int
) -> None:
    """Neither locked records nor a mistake of ours lets anybody wait, or says in the journal that somebody guessed."""

    def broken(*_: object) -> None:
        raise error

    caller = lan.caller()
    with monkeypatch.context() as patch:
        patch.setattr(type(lan.shop._shared.records.people), "enter", broken)
        assert {caller.post("/api/session", json=RIGHT).status_code for _ in range(FREE + 2)} == {status}
    assert lan.told() == ""
    assert [caller.post("/api/session", json=WRONG).status_code for _ in range(FREE + 1)] == [401] * FREE + [429]


@pytest.mark.parametrize("entry", ["x" * 1001, "\ud800 half a character", "zero\x00"])
@pytest.mark.parametrize("field", ["name", "password"])
def test_what_nobody_could_have_is_wrong_and_no_guess(lan: Site, field: str, entry: str) -> None:
    caller = lan.caller()
    content = json.dumps(RIGHT | {field: entry})
    for _ in range(FREE + 2):
        answer = caller.post("/api/session", content=content, headers={"Content-Type": "application/json"})
        assert (answer.status_code, answer.json()["code"]) == (401, "VW704")
    assert caller.post("/api/session", json=RIGHT).status_code == 200


def test_a_new_password_that_is_too_short_is_no_wrong_try(lan: Site) -> None:
    ben = lan.signed_in(BEN)
    own = {"old": PASSWORDS["Ben"], "new": "short"}
    told = [ben.put("/api/session/password", json=own) for _ in range(FREE + 2)]
    assert {(each.status_code, each.json()["code"]) for each in told} == {(422, "VW609")}
    assert "wrong" not in lan.told()
    codes = [ben.put("/api/session/password", json=own | {"old": "guess"}).status_code for _ in range(FREE + 1)]
    assert codes == [422] * FREE + [429]


def test_the_old_password_cannot_be_guessed_in_a_session_either(lan: Site) -> None:
    ben = lan.signed_in(BEN)
    codes = [
        ben.put("/api/session/password", json={"old": f"guess {n}", "new": "long enough"}).status_code for n in range(5)
    ]
    assert codes == [422] * FREE + [429] * 2


def test_a_name_waits_wherever_the_tries_come_from(lan: Site) -> None:
    for n in range(FREE):
        lan.caller(f"192.0.2.{n + 1}").post("/api/session", json=WRONG)
    assert lan.caller("192.0.2.99").post("/api/session", json=RIGHT).status_code == 429


def test_an_address_waits_whatever_names_it_tries(lan: Site) -> None:
    caller = lan.caller("192.0.2.50")
    for n in range(FREE):
        caller.post("/api/session", json=WRONG | {"name": f"name {n}"})
    assert caller.post("/api/session", json=RIGHT).status_code == 429
    assert lan.caller("192.0.2.51").post("/api/session", json=RIGHT).status_code == 200


def test_a_forged_address_gains_nothing(lan: Site) -> None:
    for n in range(FREE):
        lan.caller(x_forwarded_for=f"198.51.100.{n}").post("/api/session", json=WRONG | {"name": f"name {n}"})
    assert lan.caller(x_forwarded_for="198.51.100.99").post("/api/session", json=RIGHT).status_code == 429


def test_the_wait_grows_and_has_an_end() -> None:
    waits = [wait_after(failed) for failed in range(60)]
    assert waits[:FREE] == [0.0] * FREE
    assert waits[FREE : FREE + 5] == [1.0, 2.0, 4.0, 8.0, 16.0]
    assert waits == sorted(waits)
    assert waits[-1] == LONGEST


def test_tries_at_once_count_before_they_are_answered() -> None:
    """Otherwise a hundred guesses sent together would all be looked at."""
    tries = Attempts(lambda: 0.0)
    for _ in range(FREE):
        tries.begin("Ann", "192.0.2.7")
    with pytest.raises(MustWaitError):
        tries.begin("Ann", "192.0.2.7")


def test_memory_of_tries_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(attempts, "MOST", 10)
    tries = Attempts(lambda: 0.0)
    for n in range(50):
        tries.begin(f"name {n}", f"198.51.100.{n}")
    assert len(tries._tries) == 10


def test_one_network_of_ipv6_is_one_address() -> None:
    tries = Attempts(lambda: 0.0)
    for n in range(FREE):
        tries.begin(f"name {n}", f"2001:db8:1:2::{n + 1}")
    with pytest.raises(MustWaitError):
        tries.begin("Ann", "2001:db8:1:2:ffff::1")
    tries.begin("Ann", "2001:db8:1:3::1")


def test_the_journal_tells_who_came_and_who_did_not(lan: Site) -> None:
    lan.signed_in(BEN)
    lan.clock.move(timedelta(minutes=1))
    lan.caller().post("/api/session", json={"name": "Ann\nsigned in", "password": "guess guess"})
    first, second = lan.told().splitlines()
    assert '"what": "signed in"' in first
    assert '"name": "Ben"' in first
    assert '"what": "wrong name or password"' in second
    assert "guess guess" not in lan.told()


def test_tries_while_the_wait_runs_are_told_once_a_minute(lan: Site) -> None:
    """Somebody who hammers at the door is seen, and cannot fill the disk with it."""
    callers = [lan.caller("192.0.2.7"), lan.caller("192.0.2.8")]
    for n in range(FREE):
        callers[0].post("/api/session", json=WRONG | {"name": f"name {n}"})
        callers[1].post("/api/session", json=WRONG | {"name": f"other {n}"})

    def hammer(minutes: int) -> list[str]:
        before = lan.told()
        lan.clock.move(timedelta(minutes=minutes))
        for _ in range(5):
            assert callers[0].post("/api/session", json=RIGHT).status_code == 429
        return lan.told().removeprefix(before).splitlines()

    (first,) = hammer(minutes=0)
    assert '"what": "must wait", "from": "192.0.2.7", "tries": "1"' in first
    (second,) = hammer(minutes=1)
    assert '"tries": "4"' in second, "those of the minute before"
    assert callers[1].post("/api/session", json=RIGHT).status_code == 429
    assert '"from": "192.0.2.8", "tries": "1"' in lan.told().splitlines()[-1], "each address has its own"
    lan.journal.close()
    assert '"from": "192.0.2.7", "tries": "5"' in lan.told().splitlines()[-1], "what was not told yet"


def test_both_logs_are_for_their_owner_alone(lan: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    old = os.umask(0o022)
    try:
        lan.journal.close()
        (lan.folder / "doors.log").unlink()
        journal = Journal(lan.folder / "doors.log", lan.clock)
        journal.note("signed in", "192.0.2.7")
        journal.close()
        monkeypatch.setenv("VOLTWRIGHT_HOME", str(lan.folder))
        mishaps.logged()
    finally:
        os.umask(old)
    assert {each.name: each.stat().st_mode & 0o777 for each in lan.folder.glob("*.log")} == {
        "doors.log": 0o600, "errors.log": 0o600,
    }  # fmt: skip
