"""What can be wrong with what comes in from outside: files, forms, devices, the command line.

The trade's own problems have their codes in the domain; a Problem carries one or the other.
"""

from __future__ import annotations

from collections.abc import Iterable

from domain.lengths import Units
from domain.problems import Problem
from domain.sayings import Code


def clash_text(problems: Iterable[Problem], units: Units) -> str:
    """Why an assembly's sizes clash, in one line."""
    return "; ".join(problem.text(units) for problem in problems)


class InputProblem(Code):
    """Every problem with an input that is no matter of the trade, with its sentence."""

    # files and JSON
    CANNOT_READ = ("cannot_read", "cannot be read: {reason_text}")
    CANNOT_WRITE = ("cannot_write", "cannot be written: {reason_text}")
    FILE_TOO_LARGE = ("file_too_large", "must be at most {most_n} MB")
    STANDARD_INPUT_TWICE = ("standard_input_twice", "standard input can be read once")
    NOT_UTF8 = ("not_utf8", "write the file as UTF-8 text")
    NOT_JSON = ("not_json", "this is no JSON: {reason_text}")
    TOO_DEEP = ("too_deep", "nest the values less deeply")
    TOO_MANY_DIGITS = ("too_many_digits", "write numbers with fewer digits")
    FIELD_TWICE = ("field_twice", "this field stands twice in one object; keep one")
    NOT_FINITE = ("not_finite", "write a finite number")
    CONTROL_CHARACTER = (
        "control_character",
        "leave out the control character; letters, digits, signs and line ends are fine",
    )
    PROJECTS_AT_ONCE = ("projects_at_once", "send 1 to {most_n} projects")
    ASSEMBLIES_AT_ONCE = (
        "assemblies_at_once",
        "together these projects have too many assemblies; choose fewer, so that they have {most_n} at most",
    )
    NO_SUCH_PAPER = ("no_such_paper", "is no paper here; there is A4 and Letter")
    NOT_A_LABEL_SIZE = ("not_a_label_size", "is no label size; write it as 63x42")
    NO_ARCHIVE = ("no_archive", "choose an archive, a zip that this program wrote")
    # photographs
    NO_PHOTOGRAPH = ("no_photograph", "choose a photograph: a file in JPEG, PNG or WebP")
    NOT_A_PHOTOGRAPH = (
        "not_a_photograph",
        "this is no picture in JPEG, PNG or WebP, whatever its name says; save it as one of these",
    )
    BROKEN_PHOTOGRAPH = (
        "broken_photograph",
        "this picture is damaged or not whole; take it again, or send the whole file",
    )
    TOO_MANY_PIXELS = ("too_many_pixels", "this picture is too large; one of at most {most_n} megapixels will do")
    PHOTOGRAPH_TWICE = ("photograph_twice", "this very picture is there already")
    TOO_MANY_PHOTOGRAPHS = (
        "too_many_photographs",
        "a project has at most {most_n} photographs; remove one that is no longer needed",
    )
    NO_PROJECT_FILE = ("no_project_file", "choose a project file, or paste its text")
    # backups
    NO_SUCH_FOLDER = (
        "no_such_folder",
        "there is no such folder; plug the drive in, or make the folder, and write its whole path",
    )
    FOLDER_OF_THE_DATA = ("folder_of_the_data", "is where the data is; name a folder on another disk")
    # price lists
    NO_CSV_FILE = ("no_csv_file", "choose a CSV file, or paste its text")
    CSV_NOT_UTF8 = ("csv_not_utf8", "save the file as CSV in UTF-8")
    NOT_CSV = ("not_csv", "this is no CSV: {reason_text}")
    TOO_MANY_LINES = ("too_many_lines", "must be at most {most_n}; split the file")
    NO_HEADINGS = ("no_headings", "needs a line of headings: {needed_text}")
    NO_HEADING = ("no_heading", "is no heading here; there are {headings_text}")
    HEADING_TWICE = ("heading_twice", "this heading stands twice; keep one")
    HEADING_MISSING = ("heading_missing", 'needs the heading "{heading_text}"')
    MORE_CELLS = ("more_cells", "the headings have {headings_n}")
    NOT_A_CURRENCY = ("not_a_currency", "must be a currency's three letters (ISO 4217), such as EUR")
    NOT_THAT_DAY = ("not_that_day", "must be a day such as {day_text} (ISO 8601)")
    LINE_TWICE = ("line_twice", "stands in line {line_n} already; keep one")
    OTHER_MINIMUM = (
        "other_minimum",
        "line {line_n} says {minimum_n} for {item_text}; one item has one minimum stock",
    )
    # forms
    OLD_FORM = ("old_form", "open the form again; it carries a new one")
    NOT_A_NUMBER = ("not_a_number", "not a number; write one such as 12 or 0,5")
    NO_SUCH_TEMPERATURE = (
        "no_such_temperature",
        "must be from −1.2 to 54.5 °C, which is 29.84 to 130.1 °F: so far the handbook's table goes",
    )
    NOT_A_SHARE = ("not_a_share", "must be from 0 to {most_text} %")
    NOT_POINTS = (
        "not_points",
        "write one point a line: from the outer edge; height, such as 0; 12",
    )
    NEEDS_WHOLE = ("needs_whole", "needs a whole number; write one such as {example_text}")
    NOT_WHOLE = ("not_whole", "not a whole number; write one such as {example_text}")
    NOT_A_PRICE = ("not_a_price", "not a price in {currency_text}; write one such as {example_text}")
    TOO_MANY_DECIMALS = (
        "too_many_decimals",
        "{currency_text} has {places_n} decimals; write a price such as {example_text}",
    )
    PRICE_TOO_HIGH = ("price_too_high", "must be at most {most_text}")
    OUT_OF_RANGE = ("out_of_range", "must be a whole number from {least_text} to {most_text}")
    NOT_ZERO = ("not_zero", "must not be 0")
    NOTHING_ENTERED = ("nothing_entered", "enter at least one")
    NO_REASON = ("no_reason", "say why; the ledger keeps it")
    NOT_LISTED = ("not_listed", "choose a project of the list")
    JOINT_TWICE = ("joint_twice", "{joint_text} has an exception above already; put it there")
    TOO_LATE = ("too_late", "must not be later than today, {today_text}")
    # papers
    NO_LETTER = (
        "no_letter",
        "the letter {letters_text} ({codes_text}) is not in the font that documents are set in;"
        " write it with other letters",
    )
    NO_LETTERS = (
        "no_letters",
        "the letters {letters_text} ({codes_text}) are not in the font that documents are set in;"
        " write them with other letters",
    )
    LABEL_OFF_PAPER = (
        "label_off_paper",
        "A label of {width_bare} × {height} does not do on {paper_text}: it must be at least"
        " {least_width_bare} × {least_height_bare} and at most {most_width_bare} × {most_height}.",
    )
    LABEL_WITHOUT_ROOM = (
        "label_without_room",
        "The label is too small for what part {mark_text} needs on it; give it more width or height.",
    )
    NOT_SET = ("not_set", "cannot be set; look for unusual signs in the names that stand on it")
    # the catalogue and orders
    TOO_MANY_SECTIONS = ("too_many_sections", "a catalogue holds at most {most_n} sections")
    NO_SUCH_LENGTH = ("no_such_length", "is not one of the section's lengths")
    PRICE_OUT_OF_RANGE = ("price_out_of_range", "must be between 0 and {most_n} in the smallest coin")
    UNKNOWN_SECTION = (
        "unknown_section",
        "there is no such section in the catalogue; there is {there_text}",
    )
    TRIALS_SAY_OTHER = (
        "trials_say_other",
        "the trials say {projection} by now; look at them again, then accept that",
    )
    NOTHING_TO_ORDER = ("nothing_to_order", "there is nothing to order")
    NOTHING_LEFT_TO_BUY = ("nothing_left_to_buy", "has no line that can still be bought")
    # other devices
    WRONG_CODE = ("wrong_code", "this code does not hold; show a new one on the computer, and type that")
    TOO_MANY_CODES = ("too_many_codes", "too many codes were tried; wait {minutes_n} minutes, then try a new one")
    # ticks of the tablet
    TOO_MANY_AT_ONCE = ("too_many_at_once", "send at most {most_n} at once")
    NOT_A_TICK = ("not_a_tick", "must be an object with {fields_text}")
    NOT_A_TICKS_FIELD = ("not_a_ticks_field", "is not a field here")
    NOT_A_UUID = ("not_a_uuid", "must be a uuid, 36 signs with hyphens")
    NOT_A_KEY = ("not_a_key", "must be the sheet's key for it, 1 to {most_n} signs")
    NOT_PIECES = ("not_pieces", "must be a whole number of pieces, not 0 and at most {most_n}")
    NOT_A_MOMENT = ("not_a_moment", "must be a moment with its zone, such as 2026-03-02T08:30:00Z")
    OTHER_UUID = (
        "other_uuid",
        "must be of version 4, or of version 8 with the rest of its tick's where it takes one back",
    )
    OTHER_COUNT = ("other_count", "must be {count_n} of the same set-up and piece: all of the tick is taken back")
