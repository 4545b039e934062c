"""Words of a member check: what is limited, by which method, what governs, and why a side has no value."""

from __future__ import annotations

from service.contract.words.word import fixed, open_list

MEMBER_LISTS = (
    fixed(
        "member_checks.joists_over_beam",
        {
            "continuous": "Joists run through over the beam and load it with more than their half spans.",
            "broken": "Joists end or lap on the beam and load it with their half spans.",
        },
    ),
    fixed(
        "member_checks.fastener",
        {
            "lag_screw": "Lag screws of 1/2 inch.",
            "bolt": "Through-bolts of 1/2 inch.",
            "bolt_with_washers": "Through-bolts of 1/2 inch with up to 1/2 inch of washers behind the ledger.",
        },
    ),
    open_list(
        "member_checks.quantity",
        {
            "joist_span": "Span of a joist.",
            "joist_cantilever": "Cantilever of a joist past its last beam.",
            "beam_span": "Span of a beam, post centre to post centre.",
            "beam_span_at_sum_of_spans": "The beam table read at the sum of both joist spans, which is our reading.",
            "beam_overhang": "Overhang of a beam past its end post.",
            "post_height": "Height of a post, beam bottom to pier top.",
            "post_load": "Load a post carries at the height given.",
            "footing_diameter": "Diameter of a round footing.",
            "footing_side": "Side of a square footing.",
            "footing_thickness": "Thickness of a footing.",
            "ledger_fastener_spacing": "Spacing of ledger fasteners.",
            "ledger_fastener_load": "Load of one ledger fastener.",
            "guard_height": "Height of a guard over the boards.",
            "guard_connector_tension": "Pull in the connector of a guard post.",
        },
    ),
    open_list(
        "member_checks.method",
        {
            "table_cell": "Read from a table by the edition's own look-up rule.",
            "table_rule": "The calculation that gives the edition's printed cells back, for the table's species group.",
            "nds": "NDS allowable stress design of the member as asked.",
            "bearing_gross": "Load over soil bearing, the footing's own weight left out.",
            "bearing_base": "Load over soil bearing less the weight of the footing's own thickness.",
            "bearing_full": "Load over soil bearing less the weight of all concrete over it.",
            "bearing_net_of_soil": "Load over soil bearing less concrete heavier than the soil it replaces.",
            "test_load": "The tested load per fastener that the table's spacings imply.",
            "statics": "Balance of forces alone.",
            "rule": "A sentence of the code, not a table.",
        },
    ),
    open_list(
        "member_checks.governing",
        {
            "table_cell": "The printed cell.",
            "rule": "A sentence of the code.",
            "not_permitted": "The table permits none.",
            "bending": "Bending strength.",
            "shear": "Shear strength.",
            "deflection": "Deflection of the span.",
            "overhang_deflection": "Deflection of the loaded overhang.",
            "tip_load": "Deflection under a load at the tip.",
            "quarter_of_span": "A quarter of the adjacent span.",
            "joist_span": "The span allowed without a cantilever.",
            "cap": "The longest or widest any table prints.",
            "buckling": "Buckling of a column.",
            "crushing": "Crushing of a column, whatever its height.",
            "compression": "Compression of a column with its slenderness.",
            "bearing": "Pressure on the soil.",
            "least_size": "The least size printed.",
            "fastener": "The load of one fastener.",
            "connector": "The pull a guard post's connector is proven for.",
        },
    ),
    open_list(
        "member_checks.refusal",
        {
            "not_permitted_cell": "The table covers the case and permits none.",
            "no_table_in_edition": "The edition prints no table for this.",
            "no_rule_covers": "The calculation has no rule or value for this species, grade, size or load.",
            "back_span_under_table": "No cantilever is tabulated or calculated beside so short a span.",
            "post_crushes": "The post crushes under this load at any height.",
            "tests_only": "Only tests prove this: yield equations and statics do not.",
            "length_of_concrete_needed": "The rule in force weighs the concrete, whose length was not given.",
            "joists_overhang_too_far": "The joists overhang the beam by more than a quarter of their span.",
        },
    ),
)
