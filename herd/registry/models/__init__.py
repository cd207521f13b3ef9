"""The tables of the herd record."""

from herd.registry.models.animal import Animal, AnimalStatus
from herd.registry.models.event import Event
from herd.registry.models.group import Group, GroupKind, GroupMembership
from herd.registry.models.headcheck import HeadCheck
from herd.registry.models.herdlist import HerdList
from herd.registry.models.policyvalue import PolicyValue
from herd.registry.models.record import Record
from herd.registry.models.reference import Breed, Location, Product
from herd.registry.models.stock import MissingTag, TagBox
from herd.registry.models.subjects import SUBJECTS
from herd.registry.models.tag import Tag, TagKind, TagWearing, WearingBegan, WearingEnded

__all__ = [
    "SUBJECTS",
    "Animal",
    "AnimalStatus",
    "Breed",
    "Event",
    "Group",
    "GroupKind",
    "GroupMembership",
    "HeadCheck",
    "HerdList",
    "Location",
    "MissingTag",
    "PolicyValue",
    "Product",
    "Record",
    "Tag",
    "TagBox",
    "TagKind",
    "TagWearing",
    "WearingBegan",
    "WearingEnded",
]
