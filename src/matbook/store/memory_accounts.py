"""The devices of a crew in plain dictionaries: the twin of `sql_accounts`."""

from matbook.store.accounts import Accounts, Device, Pairing, SignedHead


class MemoryAccounts(Accounts):
    """What `accounts` promises, forgotten at the end."""

    def __init__(self) -> None:
        self._devices: dict[tuple[str, str], Device] = {}
        self._pairings: dict[str, Pairing] = {}
        self._heads: dict[tuple[str, str, int, str], SignedHead] = {}

    def invite(self, pairing: Pairing, now: int) -> bool:
        self._pairings = {name: one for name, one in self._pairings.items() if one.open_at(now)}
        return self._pairings.setdefault(pairing.name, pairing) is pairing

    def redeem(self, name: str, proof: bytes, now: int, device: Device) -> Device | None:
        pairing = self._pairings.get(name)
        if pairing is None or not pairing.open_at(now):
            return None
        if not pairing.proves(proof):
            self._pairings[name] = pairing._replace(tries=pairing.tries + 1)
            return None
        here = self._devices.get((pairing.job, device.device))
        if here is not None and here.person != pairing.person:
            return None
        del self._pairings[name]
        made = device._replace(job=pairing.job, person=pairing.person, role=pairing.role)
        self._devices[made.job, made.device] = made
        return made

    def device_of(self, token: bytes) -> Device | None:
        found = (one for one in self._devices.values() if one.token == token and not one.revoked)
        return next(found, None)

    def devices(self, job: str | None = None) -> list[Device]:
        return sorted(one for one in self._devices.values() if job in (None, one.job))

    def revoke(self, job: str, device: str, at: str) -> bool:
        here = self._devices.get((job, device))
        if here is None or here.revoked:
            return False
        self._devices[job, device] = here._replace(revoked=at)
        return True

    def keep_head(self, head: SignedHead) -> None:
        self._heads.setdefault((head.job, head.device, head.seq, head.hash), head)

    def signed_heads(self, job: str) -> list[SignedHead]:
        return sorted(head for head in self._heads.values() if head.job == job)
