from herd.registry.models import Event
from tests.client.conftest import EID

def test_x(scale, cow):
    scale.sync()
    assert scale.find(EID)[0]["id"] == str(cow)
    op = scale.weigh("112", "1180", "lb")
    print(scale.find("112"))
    print(scale._around.transport.calls)
    assert scale.sync() == 1
    print(scale.find("112"), scale.trouble())
    assert Event.objects.get().pk == op
