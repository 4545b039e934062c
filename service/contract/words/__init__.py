"""The words of the wire with their meanings, one list a module; ``service.contract.vocabulary`` gathers them."""
