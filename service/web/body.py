"""Reading of a JSON body: the media type, then our own strict decoder, in place of the framework's."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any, ClassVar, Generic, TypeVar, cast

from litestar.dto import AbstractDTO, DTOConfig
from litestar.dto.data_structures import DTOFieldDefinition
from litestar.openapi.spec import Reference, Schema
from litestar.typing import FieldDefinition

from service.contract.drawing import DrawingRequest, drawing_faults
from service.contract.member_checks import MemberCheckSpec
from service.contract.permit_package import PermitPackageRequest
from service.contract.spec import DeckSpec
from service.contract.spec_stairs import StairLayoutSpec, stair_layout_faults
from service.contract.strict import decode
from service.web.asgi import Scope
from service.web.caller import NOBODY, Caller
from service.web.desk import Desk
from service.web.keys import desk_of, settled_caller
from service.web.negotiate import JSON, sent_type
from service.web.resolve import read_around_spec, read_member_check, read_spec

T = TypeVar("T")
Reader = Callable[[bytes, Desk, Caller], Any]


def _stair_layout(body: bytes, _: Desk, __: Caller) -> StairLayoutSpec:
    return decode(body, StairLayoutSpec, across=stair_layout_faults)


def _permit_package(body: bytes, desk: Desk, caller: Caller) -> PermitPackageRequest:
    return read_around_spec(body, PermitPackageRequest, desk, caller)


def _drawing(body: bytes, desk: Desk, caller: Caller) -> DrawingRequest:
    return read_around_spec(body, DrawingRequest, desk, caller, drawing_faults)


READERS: dict[Any, Reader] = {
    DeckSpec: read_spec,
    StairLayoutSpec: _stair_layout,
    MemberCheckSpec: read_member_check,
    PermitPackageRequest: _permit_package,
    DrawingRequest: _drawing,
}


def design_caller(scope: Scope) -> Caller:
    """Who asks for a design: a key may be left out, but one that is sent must be good for designs."""
    caller = settled_caller(scope)
    if caller is not NOBODY:
        caller.needs("designs")
    return caller


class StrictJSON(AbstractDTO[T], Generic[T]):
    """``dto=StrictJSON[DeckSpec], return_dto=None`` on a handler."""

    config: ClassVar[DTOConfig] = DTOConfig()

    @classmethod
    def create_for_field_definition(
        cls, field_definition: FieldDefinition, handler_id: str, backend_cls: Any = None
    ) -> None:
        """Build no transfer model: the type itself is decoded."""

    def decode_bytes(self, value: bytes) -> Any:
        """Return the value in a body."""
        scope = cast("Scope", self.asgi_connection.scope)
        caller = design_caller(scope)
        sent_type(self.asgi_connection.headers.get("content-type", ""), [JSON])
        return READERS[self.model_type](value, desk_of(scope), caller)

    def decode_builtins(self, value: Any) -> Any:
        """Return a value that is already decoded."""
        return value

    def data_to_encodable_type(self, data: Any) -> Any:
        """Return an answer as it is."""
        return data

    @classmethod
    def create_openapi_schema(
        cls,
        field_definition: FieldDefinition,
        handler_id: str,  # noqa: ARG003
        schema_creator: Any,
    ) -> Reference | Schema:
        """Return the schema of the type itself."""
        return cast("Reference | Schema", schema_creator.for_field_definition(field_definition))

    @classmethod
    def generate_field_definitions(
        cls,
        model_type: type[Any],  # noqa: ARG003
    ) -> Generator[DTOFieldDefinition, None, None]:
        """Define no fields: there is no transfer model."""
        yield from ()

    @classmethod
    def detect_nested_field(cls, field_definition: FieldDefinition) -> bool:  # noqa: ARG003
        """Find no nested models."""
        return False

    @classmethod
    def is_supported_model_type_field(cls, field_definition: FieldDefinition) -> bool:  # noqa: ARG003
        """Take every type."""
        return True
