"""What goes to each supplier by a plan, as rows of text."""

from __future__ import annotations

from domain.lengths import Units
from webapp.store.stock_values import OrderDraft
from webapp.usecases.ordering import OrderPlan
from webapp.wording.amounts import amount
from webapp.wording.money import format_money
from webapp.wording.order_plan import LineRow, SupplierRow


def supplier_rows(plan: OrderPlan, units: Units) -> tuple[SupplierRow, ...]:
    """One for each order that placing the plan makes; wood in the shop's ``units``."""
    names = {supplier.id: name for name, supplier in plan.offers.suppliers.items()}
    return tuple(_supplier(draft, names[draft.supplier_id], plan, units) for draft in plan.drafts)


def _supplier(draft: OrderDraft, name: str, plan: OrderPlan, units: Units) -> SupplierRow:
    currency = draft.currency
    goods = sum(line.packs * line.pack_price for line in draft.lines)
    least = plan.offers.suppliers[name].terms.minimum_order
    return SupplierRow(
        name=name,
        lines=tuple(
            LineRow(
                item=line.item.name,
                article=line.article,
                packs=line.packs,
                size=amount(line.size, line.item.unit, units),
                pieces=amount(line.packs * line.size, line.item.unit, units),
                price=format_money(line.pack_price, currency),
                sum=format_money(line.packs * line.pack_price, currency),
            )
            for line in draft.lines
        ),
        goods=format_money(goods, currency),
        shipping=format_money(draft.shipping, currency),
        total=format_money(goods + draft.shipping, currency),
        minimum=f"reaches its minimum order of {format_money(least, currency)}" if least else "",
    )
