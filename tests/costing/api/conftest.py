"""The same program as for orders."""

from tests.orders.api.conftest import program, program_of, workshop  # noqa: F401
