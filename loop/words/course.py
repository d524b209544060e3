"""What the course's commands say around its steps, questions, lessons and drills."""

from loop.words.template import Sayings

COURSE: dict[str, str] = {
    "right": "Right.",
    "wrong": "No.",
    # explain
    "explain-title": "{job}, worked out",
    "explain-how": (
        "Every sum here can be done on a calculator with brackets and powers; a phone's will do. "
        "8.5e-7 means 8.5 × 10⁻⁷ (the EE or EXP key), ln is the natural logarithm, sin and cos "
        "take radians. Keep each result in the memory: where a step puts in a digit more than an "
        "earlier one printed, it comes from there."
    ),
    "explain-more-1": "For each kind of part in full: --level 2. For everything: --level 3.",
    "explain-more-2": "For every part in full: --level 3. To work some out yourself: --fade.",
    "explain-answers": "Answers",
    "explain-no-part": (
        "there is no part {part}; there are 1 to {last}[, and in branches {first} to {inner}]"
    ),
    "explain-fade": "Work it out as for the first of its kind, with {known}.",
    "explain-source": "Source: {source}.",
    "explain-is": "{symbol}: {given} is {put_in} = {answer}",
    "explain-at": "at {inputs}",
    "explain-with": "with {inputs}",
    # quiz
    "quiz-due": "Due again today: {topics}.",
    "quiz-number": "Question {number} of {count}",
    "quiz-answer": "The answer is {answer}.",
    "quiz-score": "{right} right of {count} answered.",
    "quiz-again": "{topic} comes again on {day}.",
    "quiz-letter": "answer with a letter, {first} to {last}",
    "quiz-topic": "no topic {topic}; topics: {topics}",
    "quiz-the": "the {part}",
    "quiz-at": "at {place}",
    "quiz-and-at": " and one at {place}",
    "quiz-angle": "{angle:number.0}° from open",
    "quiz-bucket": "{time:number.0} s",
    "quiz-prompt": "Your answer, q to stop:",
    # lesson
    "lesson-none": "there is no lesson {number}; there are 1 to {count}",
    "lesson-files": "the lessons' loops are missing from this installation",
    "lesson-as-is": "as it is",
    "lesson-title": "Lesson {number}: {title}",
    "lesson-loop": "The loop: {file}",
    "lesson-predict": "Predict",
    "lesson-reveal": "Reveal",
    "lesson-change": "Change, and see",
    "lesson-explain": "Explain",
    "lesson-exercise": "One more: {exercise}",
    "lesson-prompt": "Your prediction, q to stop:",
    "lesson-letters": "Answer with a letter, {first} to {last}.",
    "lesson-written": "Written: {file}",
    "picture-title": "Where the pump's head goes ({unit}): {lesson}",
    "picture-bar": "{column}: {flow:flow}, the pump makes {head:head}",
    "picture-hoses": "hoses and ends",
    "picture-air": "air in a falling hose",
    "picture-strainer": "strainer",
    "picture-unit": "unit",
    "picture-fittings": "valves and fittings",
    "picture-lift": "lift",
    "picture-waterline": "waterline",
    "picture-legs": "the falling legs with {column}",
    "sheet-fill-in": "Make each change with loop lesson and write down what it shows.",
    "sheet-why": "Why? Explain it to somebody who predicted otherwise.",
    "sheet-seen": "What is seen.",
    "sheet-answers": "{sheet}: answers",
    # class
    "class-title": "Class",
    "class-sheet-title": "{title}: worksheet {number}",
    "class-sheet": "{pupil}, sheet {number}",
    "class-question": "{where}, question {number}: {letter}: {problem}",
    "class-first-line": "a class begins with the line {line}",
    "class-line": "line {number}: {problem}",
    "class-undated": "{where}: a sheet with answers needs its date",
    "class-count": "{where}: {given} answers to {asked} questions; - for none",
    "class-nothing": (
        "nothing to print: give a pupil a [[pupil.sheet]] with a number and no answers"
    ),
    "record-first-line": "{file}: a record begins with the line {line}",
    "record-line": "{file}: line {number}: {problem}",
    "record-yes-no": "{name} is {given}; it is yes or no",
    "class-beliefs": "Beliefs to talk about",
    "class-none": "No worksheet in yet.",
    "class-worksheet": "Worksheet {number}, {day}: {right} right of {count}",
    "class-wrong": "{topic}: {given}, not {answer}[; believes: {belief}]",
    "class-repeat-now": "Repeat now: topics = {topics}",
    "class-repeat": "Repeat on {day}: {topic}",
    "class-ending": "--print: {file}: worksheets are a PDF; name the file like class.pdf",
    "class-written": "{count} worksheets in {file}, their answers in {answers}.",
    # drill
    "drill-alone": "--replay and --case: each has its own loop and fault; give it alone",
    "drill-kept": "Kept in {file}; loop drill --replay {file} plays it again.",
    "drill-title": "{job}: drill {seed}, level {level}",
    "drill-customer": "The customer says:",
    "drill-believed": "You believe: {belief}",
    "drill-clean": "(clean last season: {value})",
    "drill-so-far": "{minutes} min so far",
    "drill-score": "{points} points of 100, {minutes} minutes.",
    "drill-sure": "To be sure of it: {look}.",
    "drill-fix": "The fix: {fix}.",
}
SAY = Sayings(COURSE)
