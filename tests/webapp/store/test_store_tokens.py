"""Forms that book once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import text

from domain.problems import BadInput
from tests.factories import sending
from tests.webapp.store.store_samples import Clock, project
from webapp.store import Store, projects, tokens
from webapp.store.sqlite import Journal
from webapp.store.tokens import Sending, SentOtherwise

TOKEN = "d0c0ffee-0000-4000-8000-000000000001"
SENT = sending(TOKEN, name="Window seat")


def test_the_same_form_sent_five_times_at_once_books_once(journal: Journal, store: Store) -> None:
    def send(place: int) -> tuple[str, bool]:
        with store.writing() as session:
            return tokens.once(
                session, SENT, lambda: f"/projects/{projects.create_project(session, project(name=f'P{place}'))}"
            )

    with ThreadPoolExecutor(5) as pool:
        outcomes = list(pool.map(send, range(5)))
    assert [outcome for outcome, _ in outcomes] == ["/projects/1"] * 5
    assert sorted(acted for _, acted in outcomes) == [False] * 4 + [True]
    with store.reading() as session:
        assert len(projects.list_projects(session)) == 1
        assert session.execute(text("SELECT count(*) FROM form_token")).scalar_one() == 1


def test_a_form_whose_action_failed_may_be_sent_again(store: Store) -> None:
    def refused() -> str:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), store.writing() as session:
        tokens.once(session, SENT, refused)
    with store.writing() as session:
        assert tokens.once(session, SENT, lambda: "/done") == ("/done", True)


def test_each_form_books_for_itself(store: Store) -> None:
    def book(place: int) -> tuple[str, bool]:
        with store.writing() as session:
            return tokens.once(session, sending(f"{TOKEN}-{place}"), lambda: f"/{place}")

    assert [book(place) for place in range(20)] == [(f"/{place}", True) for place in range(20)]


def test_tokens_are_forgotten_after_a_month(store: Store, clock: Clock) -> None:
    with store.writing() as session:
        tokens.once(session, SENT, lambda: "/old")
    clock.moment += tokens.KEPT
    with store.writing() as session:
        assert tokens.once(session, SENT, lambda: "/new") == ("/old", False)
    clock.moment += timedelta(seconds=1)
    with store.writing() as session:
        tokens.once(session, sending(TOKEN + "-other"), lambda: "/other")
        assert tokens.once(session, SENT, lambda: "/new") == ("/new", True)


@pytest.mark.parametrize("token", ["", "short", "a" * 65, "a" * 20 + "\n", "ä" * 20, "'; DROP TABLE project --"])
def test_what_is_no_token_is_refused(store: Store, token: str) -> None:
    with pytest.raises(BadInput, match="open the form again"), store.writing() as session:
        tokens.once(session, sending(token), lambda: "/")


def refuse_to_act() -> str:
    raise AssertionError("acted twice")


OTHERS = {
    "another text": sending(TOKEN, name="Window seat, corrected"),
    "a text more": sending(TOKEN, name="Window seat", customer="Ada"),
    "a text less": sending(TOKEN),
    "another field": sending(TOKEN, customer="Window seat"),
    "another route": sending(TOKEN, "/another-form", name="Window seat"),
}


@pytest.mark.parametrize("other", OTHERS.values(), ids=OTHERS)
def test_anything_else_under_the_same_token_is_refused_with_both(store: Store, other: Sending) -> None:
    with store.writing() as session:
        tokens.once(session, SENT, lambda: "1")
    with pytest.raises(SentOtherwise) as refused, store.writing() as session:
        tokens.once(session, other, refuse_to_act)
    first = refused.value.first
    assert (first.route, first.texts, first.outcome) == ("/a-form", (("name", ("Window seat",)),), "1")
    assert refused.value.now == other
    with store.writing() as session:
        assert tokens.once(session, SENT, refuse_to_act) == ("1", False)


def test_of_five_texts_under_one_token_sent_at_once_one_is_booked(journal: Journal, store: Store) -> None:
    def send(place: int) -> str:
        try:
            with store.writing() as session:
                whole = project(name=f"P{place}")
                form = sending(TOKEN, name=whole.name)
                return tokens.once(session, form, lambda: str(projects.create_project(session, whole)))[0]
        except SentOtherwise as refused:
            return dict(refused.first.texts)["name"][0]

    with ThreadPoolExecutor(5) as pool:
        outcomes = list(pool.map(send, range(5)))
    with store.reading() as session:
        (head,) = projects.list_projects(session)
    assert sorted(outcomes) == ["1", *[head.name] * 4]


SAME = {
    "order of the fields": ({"a": ["1"], "b": ["2"]}, {"b": ["2"], "a": ["1"]}),
    "an empty field left away": ({"a": ["1"], "b": [""]}, {"a": ["1"]}),
    "spaces around": ({"a": [" 1 "]}, {"a": ["1"]}),
    "line ends": ({"a": ["1\r\n2"]}, {"a": ["1\n2"]}),
    "empty rows at the end": ({"a": ["1", "", ""]}, {"a": ["1"]}),
    "the token itself": ({"a": ["1"], "token": [TOKEN]}, {"a": ["1"]}),
}
OTHER = {
    "an empty row in between": ({"a": ["1", "", "2"]}, {"a": ["1", "2"]}),
    "texts in another field": ({"a": ["1"], "b": ["2"]}, {"a": ["2"], "b": ["1"]}),
    "one text that looks like two": ({"a": ["1", "2"]}, {"a": ["1, 2"]}),
    "a field that looks like a text": ({"a": ["b"], "c": ["d"]}, {"a": ["b\nc"]}),
}


@pytest.mark.parametrize(("one", "other"), SAME.values(), ids=SAME)
def test_what_says_the_same_is_the_same_form(one: dict[str, list[str]], other: dict[str, list[str]]) -> None:
    assert Sending.of(TOKEN, "/", one).fingerprint == Sending.of(TOKEN, "/", other).fingerprint


@pytest.mark.parametrize(("one", "other"), OTHER.values(), ids=OTHER)
def test_what_says_something_else_is_another(one: dict[str, list[str]], other: dict[str, list[str]]) -> None:
    assert Sending.of(TOKEN, "/", one).fingerprint != Sending.of(TOKEN, "/", other).fingerprint


def test_of_a_long_text_the_beginning_is_kept_and_all_of_it_counts(store: Store) -> None:
    long, longer = "a" * 1_000_000, "a" * 1_000_001
    with store.writing() as session:
        tokens.once(session, sending(TOKEN, document=long), lambda: "1")
    with store.writing() as session:
        assert tokens.once(session, sending(TOKEN, document=long), refuse_to_act) == ("1", False)
    with pytest.raises(SentOtherwise) as refused, store.writing() as session:
        tokens.once(session, sending(TOKEN, document=longer), refuse_to_act)
    ((name, (kept,)),) = refused.value.first.texts
    assert (name, kept) == ("document", "a" * tokens.MOST_LETTERS + "… (1000000 letters)")


def test_half_a_letter_in_a_file_is_kept_too(store: Store) -> None:
    with store.writing() as session:
        tokens.once(session, sending(TOKEN, document="\ud800"), lambda: "1")
    with store.reading() as session:
        kept = tokens.kept_sending(session, TOKEN)
    assert kept is not None
    assert kept.texts == (("document", ("\ud800",)),)


def test_a_token_of_an_earlier_version_is_like_no_form(store: Store) -> None:
    with store.writing() as session:
        tokens.once(session, SENT, lambda: "1")
        session.execute(text("UPDATE form_token SET route = '', fingerprint = '', sent_json = '[]'"))
    with pytest.raises(SentOtherwise) as refused, store.writing() as session:
        tokens.once(session, SENT, refuse_to_act)
    assert (refused.value.first.route, refused.value.first.texts) == ("", ())
