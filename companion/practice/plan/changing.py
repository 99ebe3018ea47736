"""What a player may do with a plan: take it, put it in another order, leave out, exchange.

Items are named by their number in the plan, from 1, as they are shown.
"""

from __future__ import annotations

from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.plan.item import Item, Plan


def accepted(plan: Plan) -> Plan:
    """The plan as the player takes it; from now on what is left undone comes back."""
    return replace(plan, is_accepted=True)


def moved(plan: Plan, number: int, to: int) -> Plan:
    """The plan with one item at another place. Raises RequestError where there is no such item."""
    items = list(plan.items)
    item = items.pop(_index(plan, number))
    items.insert(_index(plan, to), item)
    return replace(plan, items=tuple(items))


def skipped(plan: Plan, number: int) -> Plan:
    """The plan without an item, and without its later visits; it is not carried over.

    Its day of return stays as it is, so it comes back when it is due.
    """
    gone = plan.items[_index(plan, number)]
    return replace(plan, items=tuple(item for item in plan.items if not _is_same(item, gone)))


def replaced(plan: Plan, number: int) -> Plan:
    """The plan with what would have come next instead of an item and its later visits.

    Raises RequestError where nothing else is left to offer.
    """
    gone = plan.items[_index(plan, number)]
    if not gone.is_passage or not plan.spare:
        raise RequestError(
            f"there is nothing to put in the place of {number}",
            next="Skip it, or set a goal for another passage.",
        )
    offered, *rest = plan.spare
    items = tuple(
        replace(offered, minutes=item.minutes) if _is_same(item, gone) else item
        for item in plan.items
    )
    return replace(plan, items=items, spare=tuple(rest))


def _is_same(item: Item, gone: Item) -> bool:
    """Whether two items are visits to the same passage, or the very same item."""
    return item is gone or (gone.bars is not None and item.bars == gone.bars)


def _index(plan: Plan, number: int) -> int:
    if not 1 <= number <= len(plan.items):
        raise RequestError(f"the plan has no item {number}", next=f"It has 1 to {len(plan.items)}.")
    return number - 1
