"""Problem codes with their HTTP status and the text of their pages."""

from __future__ import annotations

from service.contract.words.word import ProblemKind

PROBLEMS = (
    ProblemKind(
        code="not_json",
        status=400,
        title="The body is not JSON",
        page="The body could not be read as JSON in UTF-8. This also covers a NUL in a text (plain or as an "
        "escape), half of a surrogate pair, NaN and Infinity, and a number larger than a double can hold. "
        "The detail names the place where reading stopped.",
    ),
    ProblemKind(
        code="duplicate_key",
        status=400,
        title="A key appears twice",
        page="An object in the body has the same key twice. Readers differ in which one they take, so "
        "neither is used. Send each key once.",
    ),
    ProblemKind(
        code="too_deep",
        status=400,
        title="The body is nested too deeply",
        page="Objects and lists are nested further than any request here needs. Check for a list that was "
        "wrapped in itself.",
    ),
    ProblemKind(
        code="invalid_spec",
        status=422,
        title="The spec cannot be used",
        page="The body is JSON but not an acceptable spec. Every fault found is listed in errors with a JSON "
        "Pointer to the place, a code, a sentence, and what would have been accepted. A deck that can exist "
        "but may not be built is no fault: it is answered with a verdict.",
    ),
    ProblemKind(
        code="invalid_query",
        status=422,
        title="The query cannot be used",
        page="A parameter after the question mark is unknown, given twice, or does not have the form needed. "
        "Each fault is listed in errors; its pointer is the name of the parameter.",
    ),
    ProblemKind(
        code="invalid_upload",
        status=422,
        title="The upload cannot be used",
        page="A rulebook table or price book could be read but breaks its own rules: an unknown column, a "
        "key given twice, a missing unit, a gap. Each fault is listed in errors.",
    ),
    ProblemKind(
        code="unknown_version",
        status=404,
        title="There is no such version",
        page="The path names something that exists, in a version that does not. Drafts are found only by "
        "those who may write them.",
    ),
    ProblemKind(
        code="not_found",
        status=404,
        title="There is nothing here",
        page="The path names nothing, or nothing that this key may see. A name inside a body that is not known "
        "is no 404: it is a fault of the spec, answered with 422.",
    ),
    ProblemKind(
        code="method_not_allowed",
        status=405,
        title="The path does not answer this method",
        page="The path exists but not for this HTTP method. The Allow header lists the methods it answers.",
    ),
    ProblemKind(
        code="unauthenticated",
        status=401,
        title="A valid key is needed",
        page="The request has no key, or one that is malformed, expired or revoked.",
    ),
    ProblemKind(
        code="scope_missing",
        status=403,
        title="The key may not do this",
        page="The key is valid but lacks the scope this call needs; the detail names it.",
    ),
    ProblemKind(
        code="origin_not_allowed",
        status=403,
        title="This page may not use the key",
        page="A publishable key was sent from a page whose origin is not on the key's list.",
    ),
    ProblemKind(
        code="wrong_host",
        status=421,
        title="The host name is not served here",
        page="The request's Host header names a host this service does not answer for.",
    ),
    ProblemKind(
        code="head_too_large",
        status=431,
        title="The head of the request is too large",
        page="The request has more header lines, or longer ones, than the service reads. Send fewer.",
    ),
    ProblemKind(
        code="not_acceptable",
        status=406,
        title="No media type asked for can be given",
        page="The Accept header leaves out every media type this call can answer with; the detail lists them.",
    ),
    ProblemKind(
        code="unsupported_media_type",
        status=415,
        title="The body's media type is not taken",
        page="The Content-Type is not one this call reads, or the body is compressed: a Content-Encoding on "
        "a request is not taken.",
    ),
    ProblemKind(
        code="request_timeout",
        status=408,
        title="The body did not come",
        page="The client began a request and then sent nothing for too long, so its place was given to others. "
        "Send the request again.",
    ),
    ProblemKind(
        code="too_large",
        status=413,
        title="The body is too large",
        page="The body, or one line of it, is larger than this call takes; the detail gives the limit.",
    ),
    ProblemKind(
        code="took_too_long",
        status=422,
        title="The design takes too long",
        page="The work this request asks for was ended after as many processor seconds as the service gives one "
        "request; the detail gives their number. It would take as long again, so do not send it again as it is: "
        "leave less to be looked for. Name sizes, spacing and beam placement, make fewer corners, or ask for the "
        "levels one by one.",
    ),
    ProblemKind(
        code="publishing_conflict",
        status=409,
        title="The version cannot be changed this way",
        page="What was asked does not fit the state the version is in: a published version never changes, "
        "and two versions cannot be in force at once.",
    ),
    ProblemKind(
        code="precondition_failed",
        status=412,
        title="It has changed since it was read",
        page="The If-Match header names an older state of the draft. Read it again and repeat the change.",
    ),
    ProblemKind(
        code="precondition_required",
        status=428,
        title="Say which state is being changed",
        page="A change to a draft needs an If-Match header with the entity tag it was read with.",
    ),
    ProblemKind(
        code="too_many_requests",
        status=429,
        title="Too many requests",
        page="The key or address has used up its allowance. Retry-After gives the seconds to wait.",
    ),
    ProblemKind(
        code="overloaded",
        status=503,
        title="The service is busy",
        page="More work is waiting than the service will queue, or the request waited for its turn in vain. Callers "
        "without a secret key have half of the places. Retry-After gives the seconds to wait.",
    ),
    ProblemKind(
        code="no_rulebook",
        status=503,
        title="No rulebook is loaded",
        page="The service is up but has no rulebook in memory yet, so it answers nothing rather than guess. "
        "Retry-After gives the seconds to wait.",
    ),
    ProblemKind(
        code="store_unavailable",
        status=503,
        title="Nothing can be kept now",
        page="The database cannot be written to: it is away, or the service runs without one. Nothing was "
        "written, unless the detail says that this is not known. What needs no writing is answered as before. "
        "Retry-After gives the seconds to wait.",
    ),
    ProblemKind(
        code="internal",
        status=500,
        title="Something went wrong here",
        page="A fault of the service, not of the request. Give the request_id when you report it; nothing "
        "of the deck was kept.",
    ),
)
