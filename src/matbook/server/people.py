"""What the latest plan of a job says of the job and its people."""

from collections.abc import Sequence

from matbook.book.entry import read_entry
from matbook.plan.changes import Plans
from matbook.plan.model import Plan
from matbook.store.contract import Store


def latest_plan(store: Store, job: str) -> Plan | None:
    """The plan of a job as it was last agreed; None while it has none that can be read.

    Plan entries belong to the whole job, so only those are read, not the book.
    """
    found = [read_entry(stored.text) for stored in store.entries(job, shift="")]
    plans: Sequence[Plan] = Plans.of([entry for entry in found if entry.kind == "plan"]).plans
    return plans[-1] if plans else None


def people_of(store: Store, job: str) -> dict[str, str]:
    """The people whom the plan of a job names: id to name."""
    plan = latest_plan(store, job)
    return {person.id: person.name for person in plan.people.values()} if plan else {}


def title_of(store: Store, job: str) -> str:
    """What the plan calls the job; its id where there is no plan."""
    plan = latest_plan(store, job)
    return plan.job.name if plan else job
