# Übungen: was zu sehen war, was der Planer getan hätte, die Wertung.
practice-why-woken = es wurde geweckt, und beurteilen lässt sich nur der Ruhestrom
practice-why-asleep-again = der Gesamtstrom zeigt, ob es jetzt schläft
