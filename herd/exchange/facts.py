"""What an animal is, as its resource tells it by the standard alone."""

from herd.exchange.names import BREED
from herd.exchange.node import Node

# Neutered males are steers; what a female or an intact male is called depends on age, which review knows.
CLASSES = {"MaleNeuter": "steer", "Male": "bull"}
SEXES = {
    "Female": "female",
    "FemaleNeuter": "female",
    "Male": "male",
    "MaleCryptorchid": "male",
    "MaleNeuter": "male",
    "Unknown": "",
}
MOST_BREED, MOST_COAT = 60, 40


def read_facts(node: Node) -> dict[str, str]:
    """The class where the gender tells it, the breed and the coat; raises BadValue."""
    gender, breed = node.text("gender", 40), node.identifier("primaryBreed")
    code = "" if breed is None else breed[1] if breed[0] in (BREED, "icar.breed-2", "icar.breed-3") else " ".join(breed)
    found = {"class": CLASSES.get(gender, ""), "breed": code[:MOST_BREED], "coat": node.text("coatColor", MOST_COAT)}
    return {key: value for key, value in found.items() if value}
