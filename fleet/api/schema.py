"""How the sign-in token is described in OpenAPI. Registered by being imported."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension

from fleet.api.authentication import DeviceTokenAuthentication


class DeviceTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # the library's own
    """A bearer token for each device."""

    target_class = DeviceTokenAuthentication
    name = "device_token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """Return the scheme."""
        return {"type": "http", "scheme": "bearer", "description": "The token that POST /tokens told."}
