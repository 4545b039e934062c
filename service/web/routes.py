"""Every handler of the service, in the order the document lists them."""

from __future__ import annotations

from litestar.handlers import ASGIRouteHandler, HTTPRouteHandler

from service.web.assets import get_asset
from service.web.audit_entries import list_audit_entries
from service.web.designs import create_design
from service.web.docs import show_reference
from service.web.drawings import draw_sheet
from service.web.footing_comparisons import compare_footings
from service.web.health import check_live, check_ready
from service.web.home import show_home
from service.web.jurisdiction_drafts import (
    change_jurisdiction_draft,
    compare_jurisdiction_versions,
    create_jurisdiction_draft,
    discard_jurisdiction_draft,
    get_jurisdiction_version,
    list_jurisdiction_versions,
    publish_jurisdiction_version,
    validate_jurisdiction_draft,
    withdraw_jurisdiction_version,
)
from service.web.jurisdictions import get_jurisdiction, list_jurisdictions
from service.web.member_checks import check_member
from service.web.options import list_options
from service.web.permit_packages import create_permit_package
from service.web.price_books import (
    create_price_book,
    get_price_book,
    get_price_book_version,
    list_price_book_versions,
    list_price_books,
    upload_price_book_version,
)
from service.web.problems import show_problem
from service.web.rulebook_drafts import (
    change_rulebook_draft,
    create_rulebook_draft,
    discard_rulebook_draft,
    list_rulebook_versions,
    publish_rulebook_version,
    validate_rulebook_draft,
    withdraw_rulebook_version,
)
from service.web.rulebooks import compare_versions, get_rulebook_version, get_table, list_rulebooks
from service.web.stair_layouts import layout_stair
from service.web.streams.design_batches import design_batch
from service.web.streams.repricings import reprice
from service.web.streams.rule_impacts import assess_rule_impacts
from service.web.takeoffs import create_takeoff

HANDLERS: tuple[HTTPRouteHandler, ...] = (
    create_design,
    create_takeoff,
    compare_footings,
    draw_sheet,
    create_permit_package,
    layout_stair,
    check_member,
    list_options,
    list_rulebooks,
    list_rulebook_versions,
    create_rulebook_draft,
    get_rulebook_version,
    change_rulebook_draft,
    discard_rulebook_draft,
    get_table,
    compare_versions,
    validate_rulebook_draft,
    publish_rulebook_version,
    withdraw_rulebook_version,
    list_jurisdictions,
    get_jurisdiction,
    list_jurisdiction_versions,
    create_jurisdiction_draft,
    get_jurisdiction_version,
    change_jurisdiction_draft,
    discard_jurisdiction_draft,
    compare_jurisdiction_versions,
    validate_jurisdiction_draft,
    publish_jurisdiction_version,
    withdraw_jurisdiction_version,
    list_price_books,
    create_price_book,
    get_price_book,
    list_price_book_versions,
    upload_price_book_version,
    get_price_book_version,
    list_audit_entries,
    show_home,
    show_reference,
    get_asset,
    check_live,
    check_ready,
    show_problem,
)

# Raw handlers, which the framework's document leaves out.
STREAMS: tuple[ASGIRouteHandler, ...] = (design_batch, reprice, assess_rule_impacts)
