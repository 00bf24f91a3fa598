"""What placement and findings both need to know of talk: its tokens, its phrases, its sums, and the sizes of the plan.

A library like `units` and `measures`, no stage: it holds no rule about what goes where.
"""
