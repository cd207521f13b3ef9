"""The words that lie in every archive for a person who opens it without the program."""

README = """\
NOTCHBOOK ARCHIVE
=================

This file holds the record of a herd: the animals, their tags, groups, weights and other events, the full history of
who changed what, and the field files from the chute as they came. It is an ordinary ZIP file, and all that is in it
can be read without Notchbook.

manifest.json   what this archive is: when it was made, which outfits are in it, and the rows, bytes and SHA-256 of
                every other file here
tables/         one file a table; each line is one row, written as JSON with the names of its columns
files/          the field files byte for byte, as files/<processing day>/<field file>; their names and days stand
                in tables/intake.fieldfile.ndjson and tables/intake.processingday.ndjson

An id such as animal_id in one table is the id of a row in another. A row with is_void true was taken back and is kept
only so that the history has what it speaks of. Days are year-month-day; moments are in UTC. A weight is in nanograms
(weight_ng), beside the figure and the unit that were entered.

To bring it back into Notchbook, put the file on the machine, open a terminal in the folder of the program and type

    python3 manage.py restore NAME-OF-THIS-FILE

Everything is checked before anything is written, and an outfit that is there already is left as it is.

Keep this file as you keep your books: it names people and animals, and the backup of a whole installation also holds
scrambled passwords. Whether an animal may be sold or moved is said by the label, the veterinarian and the state, and
by no file.
"""
