"""The tables of the record by the word under which the ledger knows their rows."""

from herd.registry.models.animal import Animal
from herd.registry.models.event import Event
from herd.registry.models.group import Group, GroupMembership
from herd.registry.models.headcheck import HeadCheck
from herd.registry.models.herdlist import HerdList
from herd.registry.models.policyvalue import PolicyValue
from herd.registry.models.record import Record
from herd.registry.models.reference import Breed, Location, Product
from herd.registry.models.stock import MissingTag, TagBox
from herd.registry.models.tag import Tag, TagWearing

# In an order in which rows come after those that they name.
SUBJECTS: dict[str, type[Record]] = {
    model.SUBJECT: model
    for model in (
        Location,
        Breed,
        Product,
        Group,
        Animal,
        GroupMembership,
        Tag,
        TagWearing,
        Event,
        TagBox,
        MissingTag,
        HeadCheck,
        HerdList,
        PolicyValue,
    )
}
