"""Going from sheet to sheet."""

QUESTIONS = {
    "people": "Will they fit?",
    "pictures": "What do we have?",
    "lines": "Are the lines fair, and do the views agree?",
    "skin": "Is the skin smooth?",
    "openings": "How do the doors open?",
    "buck": "What do we bend and weld?",
    "panels": "Where must the metal move?",
    "gauges": "What do we hold against it?",
    "drawings": "What goes to the floor?",
    "checking": "How far off are we?",
    "plan": "Who does what next?",
}


def go_to(page, name):
    page.locator(f'nav a[href="#{name}"]').click()
    page.locator(f"#sheet[data-sheet={name}][data-ready=true]").wait_for()
