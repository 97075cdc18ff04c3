"""Whatever the domain accepts comes back from the store as it went in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import Session

from domain.lengths import Length, Units
from domain.problems import BadInput
from domain.spec.catalogue import Plug, Section
from domain.spec.project import read_project
from domain.spec.rules import Rules
from tests.webapp.store import store_samples as samples
from webapp.store import Store, catalogue, projects, shop

MANY = settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class NotKept(Exception):
    pass


@contextmanager
def not_kept(store: Store) -> Iterator[Session]:
    """A transaction that is rolled back: the same statements, without syncing a file each time."""
    with suppress(NotKept), store.writing() as session:
        yield session
        raise NotKept


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = Store.open(tmp_path_factory.mktemp("round") / "shop.db")
    yield opened
    opened.close()


@st.composite
def project_files(draw: st.DrawFn) -> dict[str, Any]:
    marks = draw(st.lists(samples.marks, max_size=4, unique=True))
    optional = {
        "customer": samples.names,
        "units": st.sampled_from(["mm", "in"]),
        "currency": st.sampled_from(["EUR", "USD"]),
        "rules": samples.rules,
        "sections": st.lists(samples.sections(), min_size=1, max_size=3, unique_by=lambda section: section.name),
    }
    head = draw(st.fixed_dictionaries({"name": samples.names}, optional=optional))
    assemblies = [draw(samples.assemblies(mark)) for mark in marks]
    return {"format": "dovetally-project", "version": 1, **head, "assemblies": assemblies}


@MANY
@given(data=project_files())
def test_a_project_comes_back(store: Store, data: dict[str, Any]) -> None:
    whole = read_project(data)
    with not_kept(store) as session:
        number = projects.create_project(session, whole)
        session.expire_all()  # read what the database holds, not what the session remembers
        stored = projects.load_project(session, number)
        assert stored.project == whole
        before = [spec.model_dump(exclude={"kind"}, exclude_unset=True) for spec in whole.assemblies]
        after = [spec.model_dump(exclude={"kind"}, exclude_unset=True) for spec in stored.project.assemblies]
        assert after == before


@MANY
@given(section=samples.sections(), data=st.data())
def test_a_section_comes_back(store: Store, section: Section, data: st.DataObject) -> None:
    prices = {length: data.draw(samples.prices) for length in section.lengths}
    with not_kept(store) as session:
        number = catalogue.create_section(session, section, prices)
        session.expire_all()
        stored = catalogue.load_section(session, number)
        assert (stored.section, stored.prices) == (section, prices)


@MANY
@given(data=samples.rules, name=st.just("") | samples.names)
def test_the_shop_comes_back(store: Store, data: dict[str, Any], name: str) -> None:
    rules = Rules(**data)
    with not_kept(store) as session:
        before = shop.load_shop(session)
        shop.update_shop(session, 1, name=name, units=before.units, currency="DKK", rules=rules)
        session.expire_all()
        stored = shop.load_shop(session)
        assert (stored.name, stored.currency, stored.rules) == (name, "DKK", rules)


@MANY
@given(material=samples.names, height=samples.lengths, price=samples.prices)
def test_a_plug_comes_back(store: Store, material: str, height: Length, price: int | None) -> None:
    plug = Plug(material=material, height=height)
    with not_kept(store) as session:
        number = catalogue.create_plug(session, plug, price)
        session.expire_all()
        stored = catalogue.load_plug(session, number)
        assert (stored.plug, stored.price) == (plug, price)


@MANY
@given(text=st.text(st.characters(), max_size=130))
def test_a_name_is_stored_as_the_domain_has_it_or_refused(store: Store, text: str) -> None:
    with not_kept(store) as session:
        number = projects.create_project(session, samples.project())
        try:
            projects.update_head(session, number, 1, name=text, customer=None, units=Units.MM, currency=None)
        except BadInput:
            return
        session.expire_all()
        assert projects.load_project(session, number).head.name == " ".join(text.split())
