"""The usual cautions at the saw, in one place: the page and the paper show the same words.

Common practice in the trade, without a published source beyond those that the page of cautions names.
"""

from __future__ import annotations

SAW = (
    "The saw's manual, the rules where you work and licensed practice come first: guards, riving knife and the"
    " least piece that may be cut are theirs to say, and this plan is no instruction.",
    "Rip only along the fence and crosscut only with the mitre gauge or sliding table, never with both at once.",
    "Use a push stick where the hand would come near the blade; hold nothing small by hand, and let no offcut lie"
    " between blade and fence.",
    "Eye and ear protection, extraction on, hands and eyes off the offcut until the blade stands still; disconnect"
    " before changing it.",
    "Look for nails, knots and tension before every cut, support long bars and whole sheets at both ends, and take"
    " a second pair of hands for a sheet that you cannot hold flat.",
)
