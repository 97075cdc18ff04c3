"""Reading a page as a person does: its fields, its errors, its notices."""

from __future__ import annotations

from functools import lru_cache

from bs4 import BeautifulSoup, Tag
from httpx import Response


def soup(response: Response) -> BeautifulSoup:
    """The page or the fragment, to be looked at only: however much is asked of it, it is parsed once."""
    return _parsed(response.text)


@lru_cache(maxsize=8)
def _parsed(text: str) -> BeautifulSoup:
    # lxml takes half the time, but would make a fragment a whole page
    return BeautifulSoup(text, "lxml" if "<html" in text else "html.parser")


def fields(response: Response) -> dict[str, str | list[str]]:
    """Every field of the page's main form with the value it holds; a list where a name repeats."""
    form = next(form for form in soup(response).select("main form") if form.select("button"))
    found: dict[str, str | list[str]] = {}
    for tag in form.select("input, select, textarea"):
        name, value = str(tag.get("name", "")), _value(tag)
        if not name or value is None:
            continue
        if name in found:
            earlier = found[name]
            found[name] = [*(earlier if isinstance(earlier, list) else [earlier]), value]
        else:
            found[name] = value
    return found


def _value(tag: Tag) -> str | None:
    if tag.name == "select":
        chosen = tag.select_one("option[selected]") or tag.select_one("option")
        return str(chosen["value"]) if chosen else None
    if tag.name == "textarea":
        return tag.text.removeprefix("\n")
    if tag.get("type") in {"radio", "checkbox"} and not tag.has_attr("checked"):
        return None
    return None if tag.get("type") == "file" else str(tag.get("value", ""))


def errors(response: Response) -> dict[str, str]:
    """The error sentences, by the id of the field that they stand at; the page writes them with a capital."""
    found = soup(response).select(".field-error")
    return {str(tag["id"]).removesuffix("-error").removeprefix("f-"): _small(tag.text.strip()) for tag in found}


def _small(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def summary(response: Response) -> str:
    """The words of the error summary; "" where there is none."""
    tag = soup(response).select_one(".error-summary")
    return " ".join(tag.text.split()) if tag else ""


def main(response: Response) -> str:
    """The words of the page's main part."""
    tag = soup(response).select_one("main")
    return " ".join(tag.get_text(" ").split()) if tag else ""
