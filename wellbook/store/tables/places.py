"""Customers, properties, water systems and wells."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered, one_of
from wellbook.terms import Construction, ContactWay, Permission, Role, WellStatus


class Customer(Numbered, Base):
    """A person or firm."""

    __tablename__ = "customer"
    name: Mapped[str]
    notes: Mapped[str]


class ContactPoint(Numbered, Base):
    """A way to reach a customer; `digits` are a telephone number's digits, for finding it."""

    __tablename__ = "contact_point"
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"), index=True)
    way: Mapped[str]
    value: Mapped[str]
    digits: Mapped[str]
    may_use: Mapped[str]
    __table_args__ = (one_of("way", ContactWay), one_of("may_use", Permission))


class Site(Numbered, Base):
    """A property."""

    __tablename__ = "site"
    road: Mapped[str]
    town: Mapped[str]
    region: Mapped[str]
    postcode: Mapped[str]
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    access: Mapped[str]
    well_head: Mapped[str]
    notes: Mapped[str]


class Occupancy(Numbered, Base):
    """A customer at a property, from and to."""

    __tablename__ = "occupancy"
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    since_earliest: Mapped[date | None]
    since_latest: Mapped[date | None]
    since_text: Mapped[str]
    until_earliest: Mapped[date | None]
    until_latest: Mapped[date | None]
    until_text: Mapped[str | None]


class WaterSystem(Numbered, Base):
    """Wells feed it, properties draw on it."""

    __tablename__ = "water_system"
    name: Mapped[str]
    rise_to_tank_ft: Mapped[float | None]


class SystemSite(Base):
    """A property that draws on a water system."""

    __tablename__ = "system_site"
    system_id: Mapped[int] = mapped_column(ForeignKey("water_system.id"), primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True, index=True)


class Well(Numbered, Base):
    """A well: the shop's own care, or a public record for reference."""

    __tablename__ = "well"
    tag: Mapped[str] = mapped_column(unique=True)
    permit_no: Mapped[str] = mapped_column(index=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("water_system.id"), index=True)
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"), index=True)
    role: Mapped[str]
    use: Mapped[str]
    status: Mapped[str]
    construction: Mapped[str]
    flowing: Mapped[bool | None]
    driller: Mapped[str]
    drilled_earliest: Mapped[date | None]
    drilled_latest: Mapped[date | None]
    drilled_text: Mapped[str]
    stick_up_ft: Mapped[float | None]
    frost_depth_ft: Mapped[float | None]
    entered_on: Mapped[date]
    notes: Mapped[str]
    __table_args__ = (
        one_of("role", Role),
        one_of("status", WellStatus),
        one_of("construction", Construction),
    )
