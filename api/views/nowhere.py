"""What is at no address."""

from typing import Any

from rest_framework.exceptions import NotFound
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.views import APIView

NOWHERE = "There is nothing at this address; addresses here end with a slash."


class Nowhere(APIView):
    """Answers every address that no view has, so that a program gets a problem and no page."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    throttle_classes = ()
    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Say that nothing is here, whatever the method."""
        raise NotFound(NOWHERE)
