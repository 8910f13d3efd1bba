# Rehearsals: what was seen, what the planner would have done, the score.
practice-why-woken = it was woken, and only the settled draw can be judged
practice-why-asleep-again = the total shows whether it sleeps now
