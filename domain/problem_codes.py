"""What can be wrong with an input: every code with its sentence, which says what would work.

Sentences go on after the place and the value: "assemblies[0].stock.width: -1: must be more than 0".
"""

from __future__ import annotations

from domain.sayings import Code


class ProblemCode(Code):
    """Every problem that the trade knows of."""

    # any field
    MISSING = ("missing", "is needed")
    MISSING_BETWEEN_ROWS = ("missing_between_rows", "is needed between {rows_n} rows")
    MISSING_BETWEEN_COLUMNS = ("missing_between_columns", "is needed where a row has more than one opening")
    MISSING_BETWEEN_THROUGH_COLUMNS = ("missing_between_through_columns", "is needed between {columns_n} columns")
    MISSING_BETWEEN_ROWS_OF_COLUMN = (
        "missing_between_rows_of_column",
        "is needed where a column has more than one opening",
    )
    ROWS_OR_COLUMNS = (
        "rows_or_columns",
        "give rows, where mid rails run through, or columns, where mid stiles do, not both",
    )
    MISSING_FOR_SIDES = ("missing_for_sides", "is needed for {sides_n} sides")
    NOT_FOR_SIDES = ("not_for_sides", "is not for {sides_n} sides; give {needed_text}")
    NOT_A_FIELD = ("not_a_field", "is not a field here; check the spelling")
    USED_ALREADY = ("used_already", "is used already by {place_text}; use another")
    NO_SUCH_MARK = ("no_such_mark", "is no assembly's mark here, such as A, nor a joint's of one, such as A-J1")
    AS_TOLD = ("as_told", "{told_text}")
    # its sort
    NOT_TEXT = ("not_text", "must be text")
    NOT_A_NUMBER = ("not_a_number", "must be a number")
    NOT_WHOLE = ("not_whole", "must be a whole number")
    NOT_FINITE = ("not_finite", "must be a finite number")
    NOT_A_LIST = ("not_a_list", "must be a list")
    NOT_AN_OBJECT = ("not_an_object", "must be an object with fields")
    NOT_A_LENGTH = ("not_a_length", "not a length; write {how_text}")
    NOT_AN_OPENING = ("not_an_opening", 'not a length; write {how_text}, or "rest"')
    NOT_A_DAY = ("not_a_day", "must be a day of the calendar, such as 2026-03-31")
    NOT_AN_ITEM = ("not_an_item", "{how_text}")
    # text
    EMPTY = ("empty", "must not be empty")
    UNPRINTABLE = ("unprintable", "must be printable text")
    PATTERN = ("pattern", "must match {pattern_text}")
    TEXT_TOO_LONG = ("text_too_long", "must be at most {most_n} characters")
    TEXT_TOO_SHORT = ("text_too_short", "must be at least {least_n} characters")
    # choices
    NOT_THE_WORD = ("not_the_word", "must be {words_text}")
    NOT_AMONG = ("not_among", "must be one of {words_text}")
    NOT_AMONG_HERE = ("not_among_here", "here must be one of {words_text}")
    NOT_HERE = ("not_here", "here must be {words_text}")
    UNKNOWN_KIND = ("unknown_kind", "kind must be one of {words_text}")
    NO_KIND = ("no_kind", 'needs a "kind", one of {words_text}')
    # amounts
    TOO_FEW_ITEMS = ("too_few_items", "must have at least {least_n} items")
    TOO_MANY_ITEMS = ("too_many_items", "must have at most {most_n} items")
    NOT_ABOVE = ("not_above", "must be more than {bound_n}")
    NOT_ABOVE_ZERO_OR_REST = ("not_above_zero_or_rest", 'must be more than 0, or "rest"')
    NOT_BELOW = ("not_below", "must be less than {bound_n}")
    BELOW = ("below", "must be {bound_n} or more")
    ABOVE = ("above", "must be {bound_n} or less")
    SIZE_NOT_ABOVE_ZERO = ("size_not_above_zero", "its size must be more than 0")
    # one length against another
    TOO_SMALL = ("too_small", "must be {least} or more")
    TOO_LARGE = ("too_large", "must be {most} or less")
    NOT_MORE_THAN = ("not_more_than", "must be more than {what_text}, {least}")
    NOT_LESS_THAN = ("not_less_than", "must be less than {what_text}, {most}")
    MORE_THAN = ("more_than", "must be at most {what_text}, {most}")
    # assemblies
    NO_SUCH_JOINT = ("no_such_joint", "no such joint here; there is {there_text}")
    NO_SUCH_SECTION = ("no_such_section", "there is no such section; there is {there_text}")
    SECOND_REST = ("second_rest", 'only one of a list may be "rest"')
    NOTHING_LEFT = ("nothing_left", "nothing is left: {taken_bare} of {room} is taken")
    OPENINGS_ADD_UP = (
        "openings_add_up",
        'the openings must add up to {room}; make one of them "rest"',
    )
    NOT_INSIDE = ("not_inside", "must lie between {low_bare} and {high}")
    NOT_CLEAR = ("not_clear", "must be more than {least}: in order, clear")
    NO_SUCH_BAY = ("no_such_bay", "must be at most {bays_n}, the number of bays")
    SETBACK_BEFORE_BACK = (
        "setback_before_back",
        "must be 0 where the back stands in a groove: keys can go in from the front only, and their slots would"
        " show before it; behind a back in a rabbet, which goes in last, they go in from the back",
    )
    BEFORE_PARTITION = (
        "before_partition",
        "must be {least} or more, as far as a partition beside it is set back: the shelf's end would stand out"
        " past it",
    )
    TOP_UNDER_LID = (
        "top_under_lid",
        "is needed where a lid is sawn off: a panel in a groove, or a top laid over the walls",
    )
    NOT_OF_TOP_OVER = ("not_of_top_over", "is not for a top laid over the walls; leave it out")
    NO_OPENING = ("no_opening", "leaves no opening in this stock; must be more than {least}")
    GLAZING_FALLS_THROUGH = (
        "glazing_falls_through",
        "must be less than twice the rabbet's width, {most}, or the glazing falls through",
    )
    HALF_A_RABBET = ("half_a_rabbet", "a rabbet needs both its width and its depth")
    PROFILE_STARTS = ("profile_starts", "the profile must start at x = 0, the outer edge")
    PROFILE_ENDS = ("profile_ends", "the profile must end at the width, x = {width}")
    PROFILE_GOES_BACK = ("profile_goes_back", "x must not go back")
    PROFILE_TOO_LOW = ("profile_too_low", "must be more than the rabbet's depth at x = {edge}, {least}")
    # sizes, one assembly a line
    SIZES_COUNT = (
        "sizes_count",
        "must say {axes_text} and says {there_text}; write {example_text}, or {example_text}*3 for three",
    )
    SIZES_NO_LENGTH = ("sizes_no_length", "“{size_text}” is not a length; write {how_text}")
    SIZES_UNITS = ("sizes_units", "has units of two kinds; write one behind every size")
    SIZES_HOW_MANY = (
        "sizes_how_many",
        "“{many_text}” cannot be made; how many is a whole number up to {most_n}",
    )
    SIZES_MORE = ("sizes_more", "has more behind its sizes than how many and a name")
    SIZES_TOO_MANY = ("sizes_too_many", "is one too many; enter at most {most_n} lines at once")
    # rows, shelves and partitions, all of them in one line
    IN_LINE_NO_OPENING = (
        "in_line_no_opening",
        "{place_text}: “{size_text}” is neither a length nor “rest”; write {how_text}",
    )
    IN_LINE_COMMA = (
        "in_line_comma",
        "{place_text}: “{size_text}” may be one length or two; write {apart_text}, or {point_text}",
    )
    IN_LINE_BRACKETS = (
        "in_line_brackets",
        "{place_text}: “{size_text}” does not close its brackets; write 150 (200, rest), rest",
    )
    IN_LINE_WORDS = ("in_line_words", "{place_text}: {told_text}")
    # key sections
    LENGTH_TWICE = ("length_twice", "each length once")
    KEY_TOO_SHORT = ("key_too_short", "a key is at least {least} long")
    KEY_LENGTH_TOO_FINE = ("key_length_too_fine", "write key lengths to 0.1 mm or 1/64 in")
    CLOSE_FIT_ONLY = ("close_fit_only", "the section {section_text} has a close-fit cutter only")
    NOT_FREE_FIT = ("not_free_fit", "must be more than the close-fit cutter's {close}")
    # trials, and the machine's scales
    START_TOO_LOOSE = ("start_too_loose", "must be the snug projection or more, {snug}")
    GAP_MISSING = ("gap_missing", "measure the gap with a feeler gauge, in mm: 0.2, say")
    GAP_TOO_WIDE = ("gap_too_wide", "must be {most} or less; measure it again")
    GAP_NOT_HERE = ("gap_not_here", "belongs to “held apart” and “loose” only; leave it empty")
    GAP_DOUBTED = (
        "gap_doubted",
        "with this projection it makes the {what_text} {found_fine}, and the catalogue's sizes make it"
        " {known_fine}; read projection and gap again",
    )
    STOP_MISSING = ("stop_missing", "say how far the key went in, in mm")
    STOP_TOO_DEEP = ("stop_too_deep", "must be less than the slot's depth, {depth}; else the key is in")
    STOP_NOT_HERE = ("stop_not_here", "belongs to “stopped” only; leave it empty")
    MOUTH_CLOSED = (
        "mouth_closed",
        "must be less than {deepest_fine}: there the slot's mouth would be closed",
    )
    NO_TRIALS = ("no_trials", "make one trial first")
    OTHER_TRIALS = ("other_trials", "must be of section {section_text} and the {cutter_text} cutter")
    READING_OFF_LINE = (
        "reading_off_line",
        "must be less than the joint line, {breadth} for this stock at {angle_n}°",
    )
    READING_ORDER = ("reading_order", "must be more than the one before; smallest first")
    FOR_EACH_CUTTER = ("for_each_cutter", "the depth scale is calibrated for each cutter; say which")
    FOR_EVERY_CUTTER = ("for_every_cutter", "the fence is the same for every cutter; leave it empty")
    SCALE_DOUBTED = (
        "scale_doubted",
        "must be within {most} of the reading, {reading}; measure again, or see whether the stop has slipped",
    )
    SCALE_TOO_HIGH = ("scale_too_high", "must be {error} or more: so much is {figure_text} out")
    # wood
    MOISTURE_OR_AIR = (
        "moisture_or_air",
        'give "moisture" in %, or "temperature" in °C with "humidity" in %, not both',
    )
    BARS_AND_SHEETS = (
        "bars_and_sheets",
        "is cut from lengths or from sheets, not both; give every one of its stock a width, or none",
    )
    # ordering
    ANOTHER_LENGTH = ("another_length", "{mark_text} is {told} long elsewhere; give it another mark")
    LONGER_THAN_PIECE = ("longer_than_piece", "must be at most the piece's length, {length}")
    NOT_MITRED_ALIKE = (
        "not_mitred_alike",
        "pieces are nested only where all have a short_length and long less short is alike; leave nest_width out",
    )
    KERF_WIDER_THAN_BAR = ("kerf_wider_than_bar", "must be at least the kerf")
    TOO_MANY_PIECES = ("too_many_pieces", "pieces are too many for one plan; give at most {most_n}")
    TOO_MANY_PACKS = ("too_many_packs", "has {packs_n} packs; offer at most {most_n} of one item")
    ITEM_TWICE = ("item_twice", "this item stands there twice; keep one")
