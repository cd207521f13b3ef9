"""A phone that delivers to an installation which follows another: it keeps what is only relayed, and asks again."""

import json
from dataclasses import dataclass, field
from typing import Any

from tests.sync.properties.fieldphone import CLIENT, FINAL, Fault, FieldPhone


@dataclass(slots=True)
class PocketPhone(FieldPhone):
    """`relayed` are operations that were stored by the installation and are not final yet."""

    relayed: dict[str, dict[str, Any]] = field(default_factory=dict)

    def _take_answers(self, given: list[dict[str, Any]], told: dict[str, Any]) -> None:
        results = {one["op_id"]: one for one in told["results"]}
        for body in given:
            self._take_answer(body, results[body["op_id"]])
        self.outbox = [one for one in self.outbox if one["op_id"] not in results]
        self._note_epoch(told["epoch"])

    def _take_answer(self, body: dict[str, Any], result: dict[str, Any]) -> None:
        if result["status"] in FINAL:
            self.relayed.pop(body["op_id"], None)
            self.answers[body["op_id"]] = result
        else:
            assert result["status"] == "relayed", result
            self.answers.pop(body["op_id"], None)
            self.relayed[body["op_id"]] = body

    def _note_epoch(self, epoch: str) -> None:
        """An installation that was put back lacks what it was given since, whatever it had answered to it."""
        if self.epoch and epoch != self.epoch:
            self.relayed |= {one: self.captured[one] for one in self.answers}
            self.answers.clear()
            self.epoch, self.cursor = epoch, ""
            self.ask_again()
            self.outbox.sort(key=lambda one: one["dseq"])
        self.epoch = epoch

    def ask_again(self) -> None:
        """Learn what became of what was relayed."""
        if not self.relayed:
            return
        answer = CLIENT.post(
            "/api/v1/sync/known/",
            json.dumps({"op_ids": list(self.relayed)}),
            content_type="application/json",
            headers={"Authorization": f"Bearer {self.token}"},
        )
        assert answer.status_code == 200, answer.content
        known = {one["op_id"]: one for one in answer.json()["known"]}
        for op_id, body in list(self.relayed.items()):
            if op_id in known:
                self._take_answer(body, known[op_id])
            else:
                del self.relayed[op_id]
                self.outbox.append(body)

    def delivers(self, count: int | None = None) -> None:
        """Push a portion whole."""
        self.push(count, Fault.NONE, 0)
