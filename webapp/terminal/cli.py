"""The command line: serve the pages, take off a project file, check one, print, set up, buy, cut, quote.

Exit status: 0 good; 1 joints that cannot be made, items that cannot be bought, pieces that cannot be cut, a quote
without a total; 2 bad input, one line per error.
"""

from __future__ import annotations

import argparse
import gc
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from domain.problems import BadInput, Problem
from webapp.terminal import backups, moving, printing
from webapp.terminal import set_ups as setting_up
from webapp.usecases.json_text import LARGEST_DOCUMENT, parse_json
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff


class Exit(IntEnum):
    """What the program's exit status says."""

    GOOD = 0
    NOT_MAKEABLE = 1
    UNMET = 1
    BAD_INPUT = 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit status."""
    parser = _parser()
    options = parser.parse_args(arguments)
    try:
        status: Exit = options.run(options)
    except BadInput as refusal:
        for problem in refusal.problems:
            _say(str(problem), sys.stderr)
        return Exit.BAD_INPUT
    except BrokenPipeError:
        # whoever read our output has seen enough, as `head` does
        sys.stderr.close()
        return Exit.GOOD
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="dovetally",
        description="Joinery takeoff and key ordering for joints made with double-dovetail keys.",
        epilog="Exit status: 0 good, 1 something cannot be made, bought, cut or priced, 2 bad input.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    _add_serve(commands)
    _add_plans(commands)

    backup, restore, archive, unarchive = backups.add_parsers(commands)
    backup.set_defaults(run=_backup)
    restore.set_defaults(run=_restore)
    archive.set_defaults(run=lambda options: _on_data(backups.archive(options.file)))
    unarchive.set_defaults(run=lambda options: _on_data(backups.unarchive(options.file, datetime.now(UTC))))

    move = moving.add_parser(commands)
    move.set_defaults(run=lambda options: _on_data(moving.move(options.source, options.target, datetime.now(UTC))))

    health = commands.add_parser("health", help="look over the shop's data, and say what is wrong with it")
    health.add_argument("--json", action="store_true", help="write what was found as JSON instead of a table")
    health.set_defaults(run=_health)

    printing.add_parser(commands).set_defaults(run=_print)
    setting_up.add_parser(commands).set_defaults(run=_setups)
    return parser


def _add_serve(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    serve = commands.add_parser("serve", help="serve the pages on this computer")
    serve.add_argument("--demo", action="store_true", help="fill an empty shop with the demo workshop")
    serve.add_argument(
        "--new-shop", action="store_true", help="begin an empty shop where the data used to be and is missing"
    )
    serve.add_argument("--port", type=_port, help="the port to listen on (8765)")
    serve.add_argument(
        "--network", action="store_true", help="let other devices in, each once it is paired on the page Devices"
    )
    serve.add_argument(
        "--certificate", type=Path, metavar="FILE", help="encrypt every connection with this certificate (PEM)"
    )
    serve.add_argument(
        "--key", type=Path, metavar="FILE", help="its private key, where that is in a file of its own (PEM)"
    )
    serve.set_defaults(run=_serve)


def _add_plans(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """What is worked out from one file."""
    takeoff = commands.add_parser("takeoff", help="plan a project file and count its keys")
    _of_file(takeoff, "the project file", "the takeoff as JSON instead of a table")
    takeoff.set_defaults(run=_takeoff)

    check = commands.add_parser("check", help="name every problem of a project file")
    _of_file(check, "the project file", "what was found as JSON instead of sentences")
    check.set_defaults(run=_check)

    order = commands.add_parser("order", help="find the cheapest packs for what is short")
    _of_file(order, "the order request", "the order as JSON instead of a table", called="REQUEST")
    order.set_defaults(run=_order)

    cutting = commands.add_parser("cutting", help="find the cheapest way to cut bars and sheets")
    _of_file(cutting, "a cutting request or a project", "the plan as JSON instead of tables")
    cutting.set_defaults(run=_cutting)

    quote = commands.add_parser("quote", help="reckon what a project file is quoted at")
    _of_file(quote, "the project file", "the quote as JSON instead of tables")
    quote.set_defaults(run=_quote)


def _of_file(command: argparse.ArgumentParser, file: str, written: str, called: str = "FILE") -> None:
    command.add_argument("file", metavar=called, help=f"{file}, or - for standard input")
    command.add_argument("--json", action="store_true", help=f"write {written}")


def _port(text: str) -> int:
    port = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
    if not 1 <= port <= 65_535:
        raise argparse.ArgumentTypeError(f"{text!r} is no port; write a number from 1 to 65535")
    return port


def _serve(options: argparse.Namespace) -> Exit:
    # the web's libraries take longest to import, and only the server needs them
    from webapp.terminal.certificate import Certificate
    from webapp.terminal.serve import CannotServe, Start, serve

    if options.key is not None and options.certificate is None:
        _say("--key is for a certificate; name that too, with --certificate", sys.stderr)
        return Exit.BAD_INPUT
    start = Start(
        port=options.port,
        demo=options.demo,
        new_shop=options.new_shop,
        network=options.network,
        certificate=options.certificate and Certificate(options.certificate, options.key),
    )
    try:
        serve(start)
    except CannotServe as refusal:
        _say(str(refusal), sys.stderr)
        return Exit.BAD_INPUT
    return Exit.GOOD


def _health(options: argparse.Namespace) -> Exit:
    from webapp.terminal.health import CannotLook, health_lines, look
    from webapp.usecases.health import health_document

    try:
        health = look()
    except CannotLook as refusal:
        _say(str(refusal), sys.stderr)
        return Exit.BAD_INPUT
    _tell(options, lambda: health_document(health), lambda: health_lines(health))
    return Exit.GOOD if health.sound else Exit.BAD_INPUT


def _takeoff(options: argparse.Namespace) -> Exit:
    from domain.takeoff.document import takeoff_document
    from webapp.terminal.result_tables import takeoff_table

    project, takeoff = _planned(options.file, advice=True)
    _tell(
        options, lambda: takeoff_document(takeoff, project), lambda: takeoff_table(takeoff, project.units, project)
    )
    return Exit.GOOD if takeoff.makeable else Exit.NOT_MAKEABLE


def _check(options: argparse.Namespace) -> Exit:
    from domain.takeoff.document import check_document

    project, takeoff = _planned(options.file)
    if options.json:
        _write_json(check_document(takeoff))
    elif takeoff.makeable:
        counts = f"Assemblies: {len(project.assemblies)}. Joints: {takeoff.joint_count}."
        _say(f"{project.name}: good. {counts}", sys.stdout)
    else:
        for joint in takeoff.refused:
            reasons = " ".join(note.text(project.units) for note in joint.notes)
            _say(f"{joint.joint.mark}: cannot be made: {reasons}", sys.stdout)
    sys.stdout.flush()
    return Exit.GOOD if takeoff.makeable else Exit.NOT_MAKEABLE


def _order(options: argparse.Namespace) -> Exit:
    from domain.ordering.order import order_document
    from domain.ordering.packs import plan_order
    from domain.ordering.request import read_order_request
    from webapp.terminal.result_tables import order_table

    request = read_order_request(parse_json(_read(options.file)))
    order = plan_order(request)
    _tell(options, lambda: order_document(order), lambda: order_table(order, request.currency))
    if options.json and order.doubt:
        _say(order.doubt, sys.stderr)
    return Exit.UNMET if order.unmet else Exit.GOOD


def _cutting(options: argparse.Namespace) -> Exit:
    from webapp.terminal.cutting import cut_file

    document, lines, everything_placed = cut_file(parse_json(_read(options.file)))
    _tell(options, lambda: document, lambda: lines)
    return Exit.GOOD if everything_placed else Exit.UNMET


def _quote(options: argparse.Namespace) -> Exit:
    from webapp.terminal.quote_table import quote_file

    document, lines, whole = quote_file(*_planned(options.file))
    _tell(options, lambda: document, lambda: lines)
    return Exit.GOOD if whole else Exit.UNMET


def _print(options: argparse.Namespace) -> Exit:
    project, takeoff = _planned(options.file, advice=True)
    printing.print_document(options, project, takeoff)
    return Exit.GOOD if takeoff.makeable else Exit.NOT_MAKEABLE


def _setups(options: argparse.Namespace) -> Exit:
    from domain.machine.document import set_ups_document
    from webapp.terminal.set_up_table import set_up_tables
    from webapp.usecases.files import set_up_sheet_of, sources_of

    planned = setting_up.plan_files(options.files, _planned)
    sheet, sources = set_up_sheet_of(planned), sources_of(planned)
    units = planned[0][0].units
    _tell(options, lambda: set_ups_document(sheet), lambda: set_up_tables(sheet, sources, units))
    return Exit.GOOD if all(takeoff.makeable for _, takeoff in planned) else Exit.NOT_MAKEABLE


def _backup(options: argparse.Namespace) -> Exit:
    return _on_data(backups.back_up(options.file, datetime.now(UTC)))


def _restore(options: argparse.Namespace) -> Exit:
    return _on_data(backups.restore(options.file, datetime.now(UTC), sure=options.yes, listed=options.list))


def _on_data(lines: Iterator[str]) -> Exit:
    """Do what the lines tell of, as they are told."""
    from webapp.store.errors import StoreError

    try:
        for line in lines:
            _say(line, sys.stdout)
    except (backups.CannotBackUp, moving.CannotMove, StoreError) as refusal:
        sys.stdout.flush()
        _say(str(refusal), sys.stderr)
        return Exit.BAD_INPUT
    sys.stdout.flush()
    return Exit.GOOD


def _planned(name: str, *, advice: bool = False) -> tuple[Project, Takeoff]:
    """The file's project and its takeoff. Raises BadInput with everything wrong in it."""
    from webapp.usecases.files import plan_document

    # one plan and out: looking again and again for garbage among living plans would take half as long as they do
    gc.disable()
    return plan_document(parse_json(_read(name)), advice=advice)


def _read(name: str) -> bytes:
    """The file's bytes, up to the most that is taken. Raises BadInput where it cannot be read."""
    try:
        if name == "-":
            text = sys.stdin.buffer.read(LARGEST_DOCUMENT + 1)
        else:
            with Path(name).open("rb") as file:
                text = file.read(LARGEST_DOCUMENT + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput([Problem.of((), name, InputProblem.CANNOT_READ, reason_text=reason.lower())]) from None
    if len(text) > LARGEST_DOCUMENT:
        most = LARGEST_DOCUMENT // 1_000_000
        raise BadInput([Problem.of((), name, InputProblem.FILE_TOO_LARGE, most_n=most)])
    return text


def _tell(
    options: argparse.Namespace, document: Callable[[], dict[str, Any]], lines: Callable[[], Iterable[str]]
) -> None:
    """The result as it was asked for: as JSON, or as lines for people."""
    if options.json:
        _write_json(document())
    else:
        for line in lines():
            _say(line, sys.stdout)
    sys.stdout.flush()


def _write_json(document: dict[str, Any]) -> None:
    json.dump(document, sys.stdout, ensure_ascii=False, indent=2)
    sys.stdout.write("\n")


def _say(line: str, stream: TextIO) -> None:
    """A line, with whatever the terminal cannot show replaced rather than refused."""
    encoding = stream.encoding or "utf-8"
    stream.write(line.encode(encoding, "replace").decode(encoding) + "\n")


if __name__ == "__main__":
    sys.exit(main())
