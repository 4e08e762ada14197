"""Who is inside: signing in and out, and sessions, of which only a hash of the token is kept."""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections.abc import Callable, Generator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from voltwright.quantity.errors import EntryError
from voltwright.services.office import Door, OldPasswordError, SignedIn
from voltwright.services.views import LOCAL_OWNER, Actor
from voltwright.web.attempts import Attempts
from voltwright.web.doors import Doors
from voltwright.web.journal import Journal
from voltwright.web.refusals import MustWaitError, SignedOutError, WrongPasswordError

LASTS = 12 * 3600.0  # s: a long day in the workshop
MOST_OF_ONE = 20  # sessions of one person
MOST_CHECKED_AT_ONCE = 2  # a password takes some 64 MB and tens of milliseconds to check


@dataclass(frozen=True)
class _Session:
    who: SignedIn
    ends: float


class Entrance:
    """Sessions live as long as this process. In front of the computer itself nobody has to sign in."""

    def __init__(self, door: Door, doors: Doors, journal: Journal, clock: Callable[[], float]) -> None:
        self.doors = doors
        self._door, self._journal, self._clock = door, journal, clock
        self._attempts = Attempts(clock)
        self._sessions: dict[str, _Session] = {}
        self._lock = threading.Lock()
        self._checking = threading.BoundedSemaphore(MOST_CHECKED_AT_ONCE)

    @property
    def cookie(self) -> str:
        """Its name; with TLS one that no other host may set (RFC 6265bis, 4.1.3.2)."""
        return "__Host-voltwright" if self.doors.tls else "voltwright"

    def sign_in(self, name: str, password: str, address: str) -> str:
        """A token for the cookie. Raises MustWaitError, WrongPasswordError."""
        try:
            with self.trying(name, address):
                who = self._door.sign_in(name, password)
                if who is None:
                    raise WrongPasswordError
        except EntryError:  # nobody could have them, so that nothing was guessed
            raise WrongPasswordError from None
        self._journal.note("signed in", address, name=who.name)
        return self._begin(who)

    @contextmanager
    def trying(self, name: str, address: str) -> Generator[None]:
        """Around whatever checks a password: a wrong one counts, and no other error does. Raises MustWaitError."""
        try:
            self._attempts.begin(name, address)
        except MustWaitError:
            self._journal.turned_away(address)
            raise
        try:
            with self._one_of_few():
                yield
        except (WrongPasswordError, OldPasswordError):
            self._journal.note("wrong name or password", address, name=name)
            raise
        except BaseException:
            self._attempts.take_back(name, address)
            raise
        self._attempts.right(name, address)

    @contextmanager
    def _one_of_few(self) -> Generator[None]:
        if not self._checking.acquire(timeout=5):
            raise MustWaitError(5)
        try:
            yield
        finally:
            self._checking.release()

    def sign_out(self, token: str) -> None:
        """End one session."""
        with self._lock:
            self._sessions.pop(_hash(token), None)

    def visit(self, cookies: Mapping[str, str]) -> Visit | None:
        """Whoever sends these cookies, or None where nobody is signed in."""
        token = cookies.get(self.cookie, "")
        return Visit(self, token) if not self.doors.lan or self._found(token) else None

    def who(self, token: str) -> Actor:
        """Who acts, with the role of now. Raises SignedOutError, also where they left or got another password since."""
        if not self.doors.lan:
            return LOCAL_OWNER
        found = self._found(token)
        actor = self._door.still(found) if found else None
        if actor is None:
            self.sign_out(token)
            raise SignedOutError
        return actor

    def _begin(self, who: SignedIn) -> str:
        token, now = secrets.token_urlsafe(32), self._clock()
        with self._lock:
            self._sessions = {key: each for key, each in self._sessions.items() if each.ends > now}
            own = [key for key, each in self._sessions.items() if each.who.name == who.name]
            for key in own[: max(0, len(own) - MOST_OF_ONE + 1)]:
                del self._sessions[key]
            self._sessions[_hash(token)] = _Session(who, now + LASTS)
        return token

    def _found(self, token: str) -> SignedIn | None:
        with self._lock:
            found = self._sessions.get(_hash(token))
        return found.who if found and found.ends > self._clock() else None


@dataclass(frozen=True)
class Visit:
    """Somebody inside. Whatever is done asks anew who it is: a session ends, people leave, roles change."""

    entrance: Entrance
    token: str

    def actor(self) -> Actor:
        """Raises SignedOutError."""
        return self.entrance.who(self.token)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
