"""The continuous current-carrying capacity of whatever piece of cable a link is."""

from __future__ import annotations

from feasibility.checks.cable_ampacity import cable_ampacity
from feasibility.checks.conductor import Ampacity
from feasibility.checks.cord_ampacity import cord_ampacity
from feasibility.installation.facts import Ends
from feasibility.installation.model import Installation, Link, LinkKind


def ampacity(installation: Installation, link: Link, ends: Ends) -> Ampacity:
    """Return Iz of a cable or cord; NotKnown or NotTabulated where it cannot be found."""
    if link.kind is LinkKind.CORD:
        return cord_ampacity(installation, link, ends)
    return cable_ampacity(installation, link, ends)
