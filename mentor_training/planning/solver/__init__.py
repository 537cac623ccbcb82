"""The best plan for a session, proven or with its bound: pure, on arrays; the solver is HiGHS."""
