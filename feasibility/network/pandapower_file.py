"""A network as pandapower's own file, for whoever goes on with it."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from feasibility.network.pandapower_model import to_pandapower
from feasibility.network.records import Network

ABOUT = "about"
"""Under this name a file says what it holds; what lacks it is not one of ours."""


def network_json(
    network: Network,
    *,
    node_names: Sequence[str],
    branch_names: Sequence[str],
    carries_a: Sequence[float],
    constant_currents: Collection[str],
    about: Mapping[str, Any],
) -> str:
    """Return the file, which ``pandapower.from_json`` reads, with names in place of the network's.

    Names and what each branch carries follow the network's nodes and branches. The column ``kind``
    of the loads tells those whose current stays with the voltage; ``about`` is plain data.
    """
    import pandapower as pp

    net = to_pandapower(network)
    net.bus["name"] = list(node_names)
    net.line["name"] = list(branch_names)
    net.line["max_i_ka"] = [amperes / 1000 for amperes in carries_a]
    for table in (net.load, net.asymmetric_load):
        table["kind"] = [
            "current" if name in constant_currents else "power" for name in table["name"]
        ]
    net[ABOUT] = dict(about)
    return str(pp.to_json(net)) + "\n"


def is_network_file(content: bytes) -> bool:
    """Whether a file holds a network that was written here."""
    try:
        read = json.loads(content)
    except (ValueError, RecursionError):
        return False
    return (
        isinstance(read, dict)
        and read.get("_class") == "pandapowerNet"
        and isinstance(read.get("_object"), dict)
        and ABOUT in read["_object"]
    )
