"""Forms that book once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import text

from domain.problems import BadInput
from tests.webapp.store.store_samples import Clock, project
from webapp.store import Store, projects, tokens
from webapp.store.sqlite import Journal

TOKEN = "d0c0ffee-0000-4000-8000-000000000001"


def test_the_same_form_sent_five_times_at_once_books_once(journal: Journal, store: Store) -> None:
    def send(place: int) -> tuple[str, bool]:
        with store.writing() as session:
            return tokens.once(
                session, TOKEN, lambda: f"/projects/{projects.create_project(session, project(name=f'P{place}'))}"
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
        tokens.once(session, TOKEN, refused)
    with store.writing() as session:
        assert tokens.once(session, TOKEN, lambda: "/done") == ("/done", True)


def test_each_form_books_for_itself(store: Store) -> None:
    def book(place: int) -> tuple[str, bool]:
        with store.writing() as session:
            return tokens.once(session, f"{TOKEN}-{place}", lambda: f"/{place}")

    assert [book(place) for place in range(20)] == [(f"/{place}", True) for place in range(20)]


def test_tokens_are_forgotten_after_a_month(store: Store, clock: Clock) -> None:
    with store.writing() as session:
        tokens.once(session, TOKEN, lambda: "/old")
    clock.moment += tokens.KEPT
    with store.writing() as session:
        assert tokens.once(session, TOKEN, lambda: "/new") == ("/old", False)
    clock.moment += timedelta(seconds=1)
    with store.writing() as session:
        tokens.once(session, TOKEN + "-other", lambda: "/other")
        assert tokens.once(session, TOKEN, lambda: "/new") == ("/new", True)


@pytest.mark.parametrize("token", ["", "short", "a" * 65, "a" * 20 + "\n", "ä" * 20, "'; DROP TABLE project --"])
def test_what_is_no_token_is_refused(store: Store, token: str) -> None:
    with pytest.raises(BadInput, match="open the form again"), store.writing() as session:
        tokens.once(session, token, lambda: "/")
