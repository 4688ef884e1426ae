"""Body against pattern: findings, ways to change, and the plan that they make."""
