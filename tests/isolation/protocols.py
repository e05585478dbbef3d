"""Protocols are read by everybody and changed by the owner."""

from fieldlog.services.protocols import add_protocol
from tests.isolation import MEMBERS, OWNERS, Row

FORM = {"name": "Stand", "where": "all", "set_method": "frame", "set_frame_ft2": "2"}

ROWS = [
    Row("protocols", "GET", MEMBERS),
    Row("protocol-new", "GET", OWNERS, query="?kind=rain"),
    Row("protocol-new", "POST", OWNERS, 302, query="?kind=rain", body={"name": "Far gauge", "where": "all"}),
    Row("protocol-edit", "GET", OWNERS, named={"key": "protocol_key"}),
    Row("protocol-edit", "POST", OWNERS, 302, named={"key": "protocol_key"}, body=FORM),
    Row("api-protocols", "GET", MEMBERS),
    Row("api-protocols", "POST", OWNERS, 201, body={"kind": "rain", "name": "Far gauge"}),
    Row("api-protocol", "GET", MEMBERS, named={"key": "protocol_key"}),
    Row("api-protocol", "PUT", OWNERS, named={"key": "protocol_key"}, body={"every_days": 14}),
]


def things(farm, owner):
    own = add_protocol(property=farm, user=owner, kind="stand", name="Stand in frames")
    return {"protocol_key": own.key}
