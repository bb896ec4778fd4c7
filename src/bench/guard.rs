//! Who may talk to the local page: only a browser on this machine that was given the token.

use std::io;

/// The token of one start, and the port it is good for.
#[derive(Clone, Debug)]
pub struct Guard {
    token: String,
    port: u16,
}

impl Guard {
    /// A new token.
    ///
    /// # Errors
    /// The machine gives no random number.
    pub fn new(port: u16) -> io::Result<Self> {
        // Not to be guessed, short enough for a line of the terminal.
        let mut bytes = [0_u8; 16];
        getrandom::fill(&mut bytes).map_err(|e| io::Error::other(e.to_string()))?;
        Ok(Self { token: format!("{:032x}", u128::from_be_bytes(bytes)), port })
    }

    /// Where the page is.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// Whether a request is meant for this machine by name: a foreign name that was made to lead here is not.
    pub fn knows_host(&self, host: Option<&str>) -> bool {
        let names = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        host.is_some_and(|host| names.iter().any(|name| name == host))
    }

    /// Whether a request comes from the page itself. A browser names the page that sends it wherever that could
    /// be another one; what changes something must name it.
    pub fn knows_origin(&self, origin: Option<&str>, changes: bool) -> bool {
        match origin {
            None => !changes,
            Some(origin) => {
                origin.strip_prefix("http://").is_some_and(|o| self.knows_host(Some(o)))
            }
        }
    }

    /// Whether a token is the one of this start. The time it takes does not tell how much of it was right.
    pub fn knows_token(&self, token: &str) -> bool {
        let differs = self.token.bytes().zip(token.bytes()).fold(0, |all, (a, b)| all | (a ^ b));
        differs == 0 && token.len() == self.token.len()
    }
}

#[cfg(test)]
mod tests {
    use super::Guard;

    #[test]
    fn only_this_machine_and_this_start() {
        let guard = Guard { token: "ab12".into(), port: 4000 };
        assert!(guard.knows_token("ab12") && !guard.knows_token("ab13"));
        assert!(!guard.knows_token("ab1") && !guard.knows_token("ab123") && !guard.knows_token(""));
        assert!(
            guard.knows_host(Some("127.0.0.1:4000")) && guard.knows_host(Some("localhost:4000"))
        );
        for host in [None, Some("evil.example:4000"), Some("127.0.0.1"), Some("127.0.0.1:4001")] {
            assert!(!guard.knows_host(host), "{host:?}");
        }
        assert!(guard.knows_origin(None, false) && !guard.knows_origin(None, true));
        assert!(guard.knows_origin(Some("http://127.0.0.1:4000"), true));
        assert!(!guard.knows_origin(Some("https://127.0.0.1:4000"), true));
        assert!(!guard.knows_origin(Some("null"), false));
    }
}
