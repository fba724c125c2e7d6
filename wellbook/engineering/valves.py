def valve_depths_ft(a: float, b: float) -> tuple[float, ...]:
    return (a, a - 100)
