"""`overlay schema`."""

from __future__ import annotations


def schema() -> None:
    """Print the plan format as JSON Schema, for text editors that complete YAML.

    Example: overlay schema > plan-schema.json
    """
    import json

    from overlay.plan.schema import plan_schema

    print(json.dumps(plan_schema(), ensure_ascii=True, indent=1))
