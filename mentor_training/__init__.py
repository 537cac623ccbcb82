"""Training and competency tracker for student volunteers in an adapted physical activity program."""
