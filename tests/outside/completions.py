"""Completions for PowerShell, which Debian does not have, read by a grammar of it (PyPI: tree-sitter-powershell, MIT).

Use: completions.py PROGRAM
"""

import subprocess
import sys

import tree_sitter
import tree_sitter_powershell

PARSER = tree_sitter.Parser(tree_sitter.Language(tree_sitter_powershell.language()))


# The grammar does not know that a block may stand behind a method's name without brackets (since version 4).
BARE, BRACKETED = b".Where{ $_.CompletionText -like \"$wordToComplete*\" }", b".Where({ $true })"


def names_and_errors(script: bytes) -> tuple[set[str], bool]:
    """Every text in quotes, and whether anything of the script is not PowerShell."""
    script = script.replace(BARE, BRACKETED)
    tree = PARSER.parse(script)
    names, left = set(), [tree.root_node]
    while left:
        node = left.pop()
        if node.type == "verbatim_string_characters":
            names.add(script[node.start_byte : node.end_byte].decode().strip("'"))
        left.extend(node.children)
    return names, tree.root_node.has_error


def main(program: str) -> None:
    """Reads the script as it is, and cut short, which must be found."""
    script = subprocess.run([program, "completions", "powershell"], check=True, capture_output=True).stdout
    names, errors = names_and_errors(script)
    assert not errors, "the script cannot be read"
    # These end a text (PowerShell Language Specification 3.0, 2.3.5.2), which the grammar does not know.
    assert not set("‘’‚‛“”„") & set(script.decode()), "quotes that end a text"
    wanted = {"survey", "publish", "deposit", "--carry", "--language"}
    assert wanted <= names, wanted - names
    broken, errors = names_and_errors(script[: len(script) * 2 // 3])
    assert errors, "a script that was cut short is taken for a whole one"
    print(f"PowerShell can read the completions: {len(names)} texts")


main(sys.argv[1])
