"""What the program has to say about a joint or an assembly: a code with its figures, worded late."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Units
from domain.sayings import Code, Figures, worded


class NoteCode(Code):
    """Every note there is, with its sentence."""

    # why a section does not fit
    UNKNOWN_SECTION = ("unknown_section", "There is no section {section_text} in the catalogue.")
    NO_ROOM = (
        "no_room",
        "The {section_text} key's slot with its edge wood on each side needs {needed:set} across the stock;"
        " {available:set} is clear.",
    )
    RUN_TOO_SHORT = (
        "run_too_short",
        "The shortest {section_text} key with its recess and the wood beyond it needs a run of {needed:set};"
        " there is {available:set}.",
    )
    TOO_DEEP_FOR_EDGE = (
        "too_deep_for_edge",
        "The {section_text} slot goes {projection:set} into the other member, which may be cut {available:set}"
        " before its far edge.",
    )
    TOO_DEEP_FOR_FACE = (
        "too_deep_for_face",
        "The {section_text} slot goes {projection:set} into the other member, which may be cut {available:set}"
        " before its show face.",
    )
    TOO_DEEP_OPPOSITE = (
        "too_deep_opposite",
        "Slots for the {section_text} key meet from both sides: each goes {projection:set} deep and"
        " {available:set} is its share of the wood.",
    )
    PIECE_TOO_SHORT = (
        "piece_too_short",
        "The {section_text} slots in the two ends of a piece would meet: it must be {needed:set} long at"
        " its points;"
        " it is {available:set}.",
    )
    SLOTS_NEAR = (
        "slots_near",
        "In {piece_text} the slots for the {section_text} key would come within {gap:set} of those of"
        " {other_text}, and the web is {web:set}: {part_text} is {more:set} too {way_text}.",
    )
    TOO_MANY_KEYS = ("too_many_keys", "{asked_n} keys were asked for; {most_n} fit.")
    GROOVE_LEAVES = (
        "groove_leaves",
        "The groove or rabbet there leaves {clear:set} of {width:set} across the stock.",
    )
    # what is proposed, always planned before it is said
    SIZE_SET = ("size_set", "{what_text} {value:set}")
    TWO_SIZES_SET = ("two_sizes_set", "{what1_text} {value1:set} and {what2_text} {value2:set}")
    THREE_SIZES_SET = (
        "three_sizes_set",
        "{what1_text} {value1:set}, {what2_text} {value2:set} and {what3_text} {value3:set}",
    )
    CHOICE_SET = ("choice_set", "{what_text} {value_text}")
    CHOICE_LEFT = ("choice_left", "{what_text} left open")
    SIZE_GAINS = ("size_gains", "{what_text} {more:set} {way_text}: {gain_text}, {hold_n:share} filled")
    CHOICE_GAINS = ("choice_gains", "{what_text} {value_text}: {gain_text}, {hold_n:share} filled")
    RULE_SET = (
        "rule_set",
        "{what_text} {value:set} by the project's rules ({floor:set} at least: {why_text})",
    )
    RULE_CROSSES = ("rule_crosses", "slots that may cross grooves, by the project's rules")
    RULE_GAINS = (
        "rule_gains",
        "{what_text} {value:set} by the project's rules ({floor:set} at least: {why_text}): {gain_text},"
        " {hold_n:share} filled",
    )
    RULE_CROSSES_GAINS = (
        "rule_crosses_gains",
        "slots that may cross grooves, by the project's rules: {gain_text}, {hold_n:share} filled",
    )
    NO_SECTIONS = ("no_sections", "The catalogue has no key sections yet; add the keys you own.")
    # how a planned joint came to be as it is
    NOT_RECOMMENDED = (
        "not_recommended",
        "No section recommended for {side} stock fits here; {section_text} is the largest that does.",
    )
    TWO_KEYS = (
        "two_keys",
        "{section_text} is not recommended for {side} stock: a section that is leaves room for one key only, which"
        " lets the joint pivot.",
    )
    ONE_KEY = (
        "one_key",
        "Room for one key only: a single key lets the joint pivot, so hold it true while the glue sets.",
    )
    REACH_OVER = (
        "reach_over",
        "The reach of {reach} is over the section's limit of {limit}: nothing nearer is possible here.",
    )
    ENTRY_CHANGED = ("entry_changed", "Keys go in from the {entry_text}: there is no room at the other edge.")
    ENTRY_HOLDS_MORE = (
        "entry_holds_more",
        "Keys go in from the {entry_text}: they fill {held_bare} of {run}, {hold_n:share}; from {other_text}"
        " it would be {other_n:share}.",
    )
    ENTRY_NOT_HERE = (
        "entry_not_here",
        "Keys cannot go in from {asked_text} at this joint; they go in from the {entry_text}.",
    )
    SHORT_GRAIN_WALL = (
        "short_grain_wall",
        "Beside the end of {piece_text} the edge wood is {wall:set}, elsewhere {usual:set}:"
        " short grain breaks off.",
    )
    SHEET_WALL = (
        "sheet_wall",
        "The edge wood is {wall:set}, in solid wood {usual:set}: this is {sheet_text}.",
    )
    CROSSES_MITRED = (
        "crosses_mitred",
        "The slot from the {entry_text} crosses the {panel_text}'s groove or rabbet: cut the panel's corner off"
        " at 45°, {across} from each edge. For {over:set} the key has wood on its outer side only; it is counted"
        " as filled all the same.",
    )
    CROSSES_SQUARE = (
        "crosses_square",
        "The slot from the {entry_text} crosses the {panel_text}'s groove or rabbet: cut a notch out of the"
        " panel's corner, {along} along the piece that ends in the joint and {across} across it. For {over:set}"
        " the key has wood on its outer side only; it is counted as filled all the same.",
    )
    PASSES_GROOVE = (
        "passes_groove",
        "The slot from the {entry_text} passes the {panel_text}'s groove or rabbet with {left:set} of wood"
        " between, less than the edge wood; if it breaks out, the panel covers it.",
    )
    SLOTS_MOVED = (
        "slots_moved",
        "The slots lie {more:set} off where they would hold best: so they keep the web of {web:set} from those of"
        " {other_text} in {piece_text}.",
    )
    IN_THE_WAY = (
        "in_the_way",
        "{other_text} cannot be made: its slots in {piece_text} would come within {gap:set} of these, and the web"
        " is {web:set}: {part_text} is {more:set} too {way_text}.",
    )
    FREE_CUTTER = (
        "free_cutter",
        "Cut with the free-fit cutter: so keys fill {held_bare} of {run}, {now_n:share}. With the close-fit"
        " one nothing is driven deeper than {limit:set}, and they would fill {less}, {hold_n:share}.",
    )
    DRIVE_LIMIT = (
        "drive_limit",
        "The slot could take {possible:set} of keys, but nothing is driven deeper than {limit:set} with the"
        " close-fit cutter.",
    )
    LOW_HOLD = ("low_hold", "Keys fill {held_bare} of {run}, {hold_n:share}; the shop asks for {target_n:share}.")
    SHALLOW_RECESS = (
        "shallow_recess",
        "The key stops {recess:set} below the edge: that is all the wood allows.",
    )
    MIDDLE_STRETCH = (
        "middle_stretch",
        "{stretch} of the joint is without a key: clamp it while the glue sets, or add {fastenings_text} there.",
    )
    MIDDLE_HELD = (
        "middle_held",
        "{stretch} of the joint is without a key: {fastenings_text} hold it, the first {first:set} from the"
        " {edge_text} edge, the last {last:set}.",
    )
    MIDDLE_HELD_ONCE = (
        "middle_held_once",
        "{stretch} of the joint is without a key: {fastening_text} holds it, {first:set} from the {edge_text}"
        " edge.",
    )
    TENON_SIZE = (
        "tenon_size",
        "Make a loose tenon no thicker than {thick:set}, a third of the thinner piece, and no wider than"
        " {wide:set}; mortise for it no deeper than {deep:set} in either.",
    )
    SCREWS_SHOW = ("screws_show", "Screws come in from outside: drill for them first, and cover their heads.")
    HELD_APART = (
        "held_apart",
        "At this projection the key bottoms and holds the faces {gap:set} apart: measure key and cutter again.",
    )
    OVER_TIGHT = (
        "over_tight",
        "Started deeper for test pieces, each flank is squeezed by {squeeze:set}: over-tight, it may burst the"
        " corner.",
    )
    START_FROM_TRIALS = (
        "start_from_trials",
        "The projection of {projection_fine} comes from {trials_text}; the catalogue gives {catalogue_fine},"
        " which is {difference_fine} {way_text}.",
    )
    # at the machine
    FENCE_NEAR_SPACER = (
        "fence_near_spacer",
        "The fence would stand {reading:set} from the cutter's centre and needs {least:set}: put a spacer"
        " {spacer:set} thick"
        " between fence and piece and set {instead:set}.",
    )
    STOP_OFF_SCALE = (
        "stop_off_scale",
        "The depth stop would read {stop:set}, and its scale goes from 0 to the stroke of {stroke:set}:"
        " zero the stop for"
        " this cutter, then it reads the slot's depth, {depth:set}.",
    )
    PIECE_TOO_SMALL = (
        "piece_too_small",
        "{piece_text}: {length} long, less than the {least} that is held by hand. Mill it while it is still part"
        " of a blank at least {blank} long, its other end in a carrier clamped to the table, as the machine's"
        " manual says.",
    )
    PIECE_TOO_SMALL_TWICE = (
        "piece_too_small_twice",
        "{piece_text}: {length} long, less than the {least} that is held by hand, and slotted in both ends. Mill"
        " the first end while it is still part of a blank at least {blank} long, its other end in a carrier"
        " clamped to the table; then cut it to length and mill the second end with the whole piece in a carrier at"
        " least {least} long, as the machine's manual says.",
    )
    PIECE_LONG = (
        "piece_long",
        "{piece_text}: {length} long, more than the {most} that is milled without support. {how_text}",
    )
    PIECE_HEAVY = (
        "piece_heavy",
        "{piece_text}: about {kilos_n} kg, reckoned as {wood_text}, more than the {most_n} kg that one person"
        " holds at the cutter. Have a second one, or something that takes its weight.",
    )
    # about an assembly
    SUPPORT_NEEDED = (
        "support_needed",
        "Too long or too heavy to be milled without support: {pieces_text}. The set-up sheet says how each is"
        " held.",
    )
    SHELF_SAGS = (
        "shelf_sags",
        "{piece_text}: under {load_n} kg a metre ({pounds_n} lb a foot) it sags {first_fine} at once and"
        " {years_fine} in years, more than {allowed_fine}, its length by {share_n} (reckoned as {wood_text}). It"
        " holds up to a length of {longest}: put a partition under it, or stiffen its front edge.",
    )
    SHELF_HOLDS = (
        "shelf_holds",
        "{piece_text}: under {load_n} kg a metre ({pounds_n} lb a foot) it sags {first_fine} at once and"
        " {years_fine} in years, within {allowed_fine}, its length by {share_n} (reckoned as {wood_text}). It"
        " holds up to a length of {longest}.",
    )
    SHELF_UNKNOWN = (
        "shelf_unknown",
        "How far {pieces_text} sags is not known: {why_text}. Name a species, such as white ash.",
    )
    # how its wood moves
    MOVES = (
        "moves",
        "From {shop_n} % of moisture in the shop to {moisture_n} %, {piece_text} moves most: {change_fine}"
        " {way_text}"
        " across its {size} (reckoned as {wood_text}, {sawn_text}).",
    )
    MOVES_BETWEEN = (
        "moves_between",
        "From {shop_n} % of moisture in the shop to {moisture_n} %, {piece_text} moves most: {least_fine} to"
        " {change_fine} {way_text} across its {size} (the range of {wood_text}, {sawn_text}).",
    )
    SAWN_UNKNOWN = (
        "sawn_unknown",
        "How its boards were sawn is not said: they are reckoned as flat sawn, which moves more.",
    )
    WOOD_NOT_IN_TABLE = (
        "wood_not_in_table",
        "The movement of {wood_text} is not published in the table: it is reckoned with the range of its group.",
    )
    NO_WOOD_NAMED = (
        "no_wood_named",
        "No wood is named: its movement is reckoned with the range of every wood of the table. Name a species,"
        " such"
        " as white ash.",
    )
    OTHER_FORMULA = (
        "other_formula",
        "Beyond 6 to 14 % of moisture the coefficients do not hold: reckoned by the handbook's other formula, from"
        " the whole shrinkage from green to ovendry.",
    )
    MITRE_OPENS = (
        "mitre_opens",
        "{joint_text}: at {moisture_n} % its mitre over {across} wants to open {gap_fine} at the {side_text}, and"
        " {limit_fine} is let pass: use quartered wood or narrower stock, or bring the wood nearer to its place's"
        " moisture before it is cut.",
    )
    PANEL_SWELLS = (
        "panel_swells",
        "{if_text}{piece_text} is {ease_fine} too wide for its {fit_text} at {wet_n} %: cut it {size} wide, and"
        " glue"
        " it nowhere but in the middle of its ends.",
    )
    PANEL_STAYS = (
        "panel_stays",
        "{if_text}{stays_fine} of {piece_text} stays in each {fit_text} at its narrowest, at {dry_n} %.",
    )
    PANEL_LEAVES = (
        "panel_leaves",
        "{if_text}{piece_text} leaves its {fit_text} at {dry_n} %: {stays_fine} of it stays in on each side, and"
        " {least} is wanted. Make the {fit_text} {more_fine} deeper, or use quartered wood or plywood.",
    )
    PANEL_DROPS_OUT = (
        "panel_drops_out",
        "{if_text}{piece_text} drops out of its {fit_text} at {dry_n} %. Make the {fit_text} {more_fine} deeper,"
        " or"
        " use quartered wood, narrower panels or plywood.",
    )
    PANEL_TIGHT = (
        "panel_tight",
        "{if_text}{piece_text} grows {more_fine} thicker than its {fit_text} is wide at {wet_n} %: make the"
        " {fit_text}"
        " wider by that.",
    )
    CROSSING_RAIL = (
        "crossing_rail",
        "{piece_text} grows {change_fine} {way_text} over its end, and {held_text} that holds it does not: glue"
        " only"
        " {third} of that end, next to the edge that must stay flush, or use quartered or narrower wood.",
    )
    CROSSING_EDGE = (
        "crossing_edge",
        "{piece_text} grows {change_fine} {way_text} from front to back, and {held_text} does not go with it: glue"
        " and key only the front third, {third}, and leave it free at the back.",
    )
    CROSSING_PLINTH = (
        "crossing_plinth",
        "{piece_text} grows {change_fine} {way_text} over its height, and {held_text}, whose grain stands there,"
        " does"
        " not: glue only the {third} next to the bottom.",
    )
    CROSSING_PLINTH_FRAME = (
        "crossing_plinth_frame",
        "{piece_text} grows {change_fine} {way_text} from front to back, and {held_text} under it does not:"
        " fasten it"
        " at the front, and farther back with screws in elongated holes, without glue.",
    )
    CROSSING_TOP = (
        "crossing_top",
        "{piece_text} grows {change_fine} {way_text} across its grain over {held_text}, whose length does not"
        " change:"
        " fasten it in the middle, and farther out with screws in elongated holes, without glue.",
    )
    GLAZING_ROOM = (
        "glazing_room",
        "The glazing is cut to its length and width; glass, mount and backing share the room in the rabbet.",
    )
    GROOVES_STOP = (
        "grooves_stop",
        "The {panel_text}'s {fit_text} may run through in the {piece_text} only; in the other pieces run it on by"
        " its own depth, {depth:set}, past the inner edge of the piece that meets them, no farther.",
    )
    PANEL_FULL = ("panel_full", "Panels are sized to the bottom of the groove or rabbet: ease them to fit.")
    SAW_LINE = (
        "saw_line",
        "The lid is sawn off between {low:set} and {high:set} from the bottom edge of the walls; no key"
        " crosses it.",
    )
    TOP_LAID_OVER = (
        "top_laid_over",
        "The top is laid over the walls once the keys are in: it covers the edges that they are driven from.",
    )
    LINING_AREA = ("lining_area", "Lining: {area_n} m² for each.")
    VENEER_AREA = ("veneer_area", "Veneer: {area_n} m² for each, over the outside.")
    KEYS_IN_SIGHT = (
        "keys_in_sight",
        "The ends of keys show at the {edge_text}: {joints_text}. Accent plugs would cover them.",
    )
    PLUGS_IN_SIGHT = ("plugs_in_sight", "Plugs show at the {edge_text}: {joints_text}.")
    PLUGS_UNSEEN = (
        "plugs_unseen",
        "Nobody sees the plugs at the {edge_text}: {joints_text}. Leave them out, or drive those keys from an edge"
        " that is looked at.",
    )
    EMPTY = ("empty", "The project has no assemblies yet.")
    UNMAKEABLE = (
        "unmakeable",
        "{count_n} of {total_n} joints cannot be made as they stand; they are not counted.",
    )


@dataclass(frozen=True, slots=True)
class Note:
    """One note: its code and its figures (lengths in mm, ``_n`` plain numbers, ``_text`` words)."""

    code: NoteCode
    figures: Figures = ()

    @classmethod
    def of(cls, code: NoteCode, **figures: float | str) -> Note:
        """A note with its figures by name."""
        return cls(code, tuple(figures.items()))

    def text(self, units: Units = Units.MM) -> str:
        """The note as a sentence, lengths in ``units``."""
        return worded(self.code, self.figures, units)
