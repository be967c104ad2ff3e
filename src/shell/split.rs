//! A typed line as words: blanks part them, double quotes keep blanks together.

/// The words of a line. A double quote at the start of a word, or after `=` or
/// `:`, opens a stretch that ends at the next one or at the end of the line;
/// `can't` and `3" bore` are words like any other.
///
/// ```
/// use sootsayer::shell::split::split;
/// assert_eq!(split(r#"record a@3=yes note:"hot, 9:30""#), ["record", "a@3=yes", "note:hot, 9:30"]);
/// assert_eq!(split("leak-down@3=can't"), ["leak-down@3=can't"]);
/// ```
pub fn split(line: &str) -> Vec<String> {
    let mut words = vec![];
    let mut word = String::new();
    let mut begun = false;
    let mut quoted = false;
    let mut before = ' ';
    for c in line.chars() {
        match c {
            '"' if quoted => quoted = false,
            '"' if before.is_whitespace() || before == '=' || before == ':' => {
                quoted = true;
                begun = true;
            }
            c if c.is_whitespace() && !quoted => {
                if begun {
                    words.push(std::mem::take(&mut word));
                }
                begun = false;
            }
            c => {
                word.push(c);
                begun = true;
            }
        }
        before = c;
    }
    if begun {
        words.push(word);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::split;

    #[test]
    fn quotes_keep_blanks_and_may_be_empty_or_unclosed() {
        assert_eq!(split(r#"a "b c" d"#), ["a", "b c", "d"]);
        assert_eq!(split(r#"a "" d"#), ["a", "", "d"]);
        assert_eq!(split(r#"a="95 psi"#), ["a=95 psi"]);
        assert_eq!(split(r#"bore 3" wide"#), ["bore", "3\"", "wide"]);
        assert!(split("  \t ").is_empty());
    }
}
