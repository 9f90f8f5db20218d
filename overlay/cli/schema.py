"""`overlay schema`."""

from __future__ import annotations


def schema() -> None:
    """Print the plan format for text editors.

    It is a JSON Schema (draft 2020-12); editors that know YAML complete and check plans with it.

    Example: overlay schema > plan-schema.json
    """
    import json

    from overlay.plan.schema import plan_schema

    print(json.dumps(plan_schema(), ensure_ascii=True, indent=1))
