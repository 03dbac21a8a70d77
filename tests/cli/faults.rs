use crate::asked::{ask, narrow};

#[test]
fn arguments_that_fit_no_grammar_are_status_2() {
    for (line, words) in [
        ("sizes 100", "`size`"),
        ("size", "<GAIN>"),
        ("size 100 --topolgy difference", "`--topology`"),
        ("size 100 --topology difference-stage", "buffered-difference"),
        ("size 100 --parts 3", "1..=2"),
        ("size 100 --side up", "at-least"),
        ("size 100 --series E96 --stock 1k", "--stock"),
        ("size 100 --format markdown", "json"),
        ("reject", "--gain"),
        ("design", "<SPEC>"),
        ("series E97", "E96"),
    ] {
        let told = ask(line).refuses();
        assert!(told.contains(words), "{line} tells no {words}: {told}");
        let errors = ask(line).refuses_json();
        assert_eq!(errors[0]["code"], "bad-arguments", "{line}");
    }
}

#[test]
fn no_command_shows_the_commands_on_standard_error() {
    let told = ask("").refuses();
    assert!(told.contains("reject") && told.contains("Usage"), "{told}");
    assert_eq!(ask("").refuses_json().len(), 1);
}

#[test]
fn help_and_version_are_answers() {
    for line in ["--help", "size --help", "reject --help", "design --help", "series --help", "new --help", "help size"]
    {
        assert!(ask(line).answers(0).contains("Usage: evenkeel"), "{line}");
    }
    assert_eq!(ask("--version").answers(0), format!("evenkeel {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn a_list_points_at_its_bad_item() {
    let told = ask("size 100 --stock 100,4k7x,-3").refuses();
    assert!(told.contains("1 | --stock 100,4k7x,-3\n  |              ^^^\n"), "{told}");
    assert!(told.contains("1 | --stock 100,4k7x,-3\n  |                  ^^\n"), "{told}");
    ask("size 100 --feedback 10k --stock").arg("100, 220").answers(0);
    ask("size 100 --stock ,").refuses();
}

#[test]
fn what_was_read_does_not_steer_the_terminal() {
    let told = ask("size").arg("1\u{1b}[31m00").refuses();
    assert!(!told.contains('\u{1b}'), "{told:?}");
    let told = ask("design -").stdin("[target]\ngain = 1\n\"\u{7f}x\" = 1\n").refuses();
    assert!(!told.contains('\u{7f}'), "{told:?}");
    ask("size").arg("1\u{1b}[31m00").refuses_json();
}

#[test]
fn long_messages_are_folded() {
    let long = format!("[target]\ngain = \"{}\"\n", "many words and more ".repeat(30));
    let told = ask("design -").stdin(&long).run();
    assert_eq!(told.status, 2);
    narrow(&told.stderr);
}
