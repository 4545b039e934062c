"""Codes of faults in a body."""

from __future__ import annotations

from service.contract.words.word import open_list

ERRORS = open_list(
    "error",
    {
        "wrong_type": "The value is of another JSON type than is needed.",
        "missing": "A needed field is absent or null.",
        "unknown_field": "There is no field of this name here.",
        "out_of_range": "The number is outside its range.",
        "not_in_list": "The word is not one of those taken.",
        "bad_pattern": "The text does not have the form needed.",
        "too_long": "The text is too long.",
        "too_many": "The list has too many entries.",
        "not_finite": "The number is not finite.",
        "both_given": "Two fields that exclude each other are given.",
        "grade_points_in_line": "The ground points lie in one line and make no triangle.",
        "grade_points_differ": "Two ground points give one place different heights.",
        "unknown_rulebook": "There is no such rulebook or version.",
        "unknown_jurisdiction": "There is no such jurisdiction or version.",
        "unknown_price_book": "There is no such price book or version that may be read.",
        "unknown_level": "No level has this id.",
        "duplicate_id": "Two levels have the same id.",
        "reserved_id": "The id is a word with a meaning of its own.",
        "outline_crosses_itself": "Edges of the outline meet or cross.",
        "outline_repeats_point": "A corner of the outline is given twice.",
        "outline_sliver": "The outline is too small, or somewhere too narrow, too sharp or too short.",
        "edge_out_of_range": "The outline has no edge of this number.",
        "house_edge_not_on_wall": "The edge said to be on the house is not on its wall line.",
        "edge_wall_repeated": "The wall at an edge is named twice.",
        "floor_behind_wall": "Floor lies right behind an edge said to be on the house.",
        "levels_overlap": "Two levels cover the same floor in plan.",
        "level_floats": "Nothing joins this level to the house or the rest of the deck.",
        "stair_off_edge": "The stair does not fit on its edge.",
        "stairs_overlap": "Two stairs stand in the same place.",
        "object_off_level": "The object is not wholly on its level.",
        "objects_overlap": "Two heavy objects stand in the same place.",
        "stair_to_itself": "The stair leads to the level it starts from.",
        "stair_goes_up": "The level a stair leads to is not lower than the one it starts from.",
        "stair_on_house_edge": "The stair is on an edge against the house.",
        "too_few": "The list has too few entries.",
        "currency_mixed": "Amounts in different currencies meet.",
        "duplicate_line": "An item stands twice in one stock length.",
        "units_mixed": "One item is sold in two ways.",
        "unit_not_for_item": "Items of this kind are not sold this way.",
        "not_this_book": "What is said of the price book is not so.",
        "date_out_of_range": "The date is outside the range taken.",
    },
)
ERROR_LISTS = (ERRORS,)
