//! Writes a switch for each operator of some source files: one number makes one operator wrong.
//!
//! `mutation LIST SKIP FILE...` rewrites the files in place and writes what each number stands for to LIST, a line each:
//! number, file, line, column, operator, wrong operator. Places that SKIP names (file:line:column, a line each) stay as
//! they are, since the compiler cannot take a switch there. The crate needs `switch.rs` as its module `mutant`.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;

use proc_macro2::Span;
use syn::spanned::Spanned;
use syn::visit::Visit;
use syn::{BinOp, Expr, ExprBinary, ExprUnary, UnOp};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [list, skip, files @ ..] = &arguments[..] else { return Err("LIST SKIP FILE...".into()) };
    let skip: BTreeSet<String> = fs::read_to_string(skip)?.lines().map(str::to_owned).collect();
    let (mut lines, mut next) = (String::new(), 1);
    for file in files {
        let text = fs::read_to_string(file)?;
        let mut places = Places {
            file,
            text: &text,
            skip: &skip,
            next,
            found: Vec::new(),
            edits: Edits::default(),
        };
        places.visit_file(&syn::parse_file(&text)?);
        next = places.next;
        for (number, place, right, wrong) in &places.found {
            writeln!(lines, "{number}\t{place}\t{right}\t{wrong}")?;
        }
        fs::write(file, places.edits.apply(&text))?;
    }
    fs::write(list, lines)?;
    Ok(())
}

/// Pieces of text to put into a file, by where they go.
#[derive(Default)]
struct Edits {
    /// Start, end, text instead; of those that begin at one place the outer ones come first.
    pieces: Vec<(usize, usize, String)>,
    /// Of those that end at one place the inner ones come first.
    closings: Vec<(usize, String)>,
}

impl Edits {
    fn apply(mut self, text: &str) -> String {
        self.closings.reverse();
        let closings = self.closings.into_iter().map(|(at, text)| (at, 0, at, text));
        let pieces = self.pieces.into_iter().map(|(start, end, text)| (start, 1, end, text));
        let mut all: Vec<_> = closings.chain(pieces).collect();
        all.sort_by_key(|(start, kind, ..)| (*start, *kind));
        let (mut out, mut at) = (String::new(), 0);
        for (start, _, end, piece) in all {
            out.push_str(&text[at..start]);
            out.push_str(&piece);
            at = end;
        }
        out + &text[at..]
    }
}

/// The operators of one file.
struct Places<'a> {
    file: &'a str,
    text: &'a str,
    skip: &'a BTreeSet<String>,
    next: u32,
    found: Vec<(u32, String, &'static str, &'static str)>,
    edits: Edits,
}

/// How an operator is written, what it is instead, and how both sides are handed over.
struct Switch {
    right: &'static str,
    wrong: &'static str,
    call: &'static str,
    between: &'static str,
    end: &'static str,
}

const fn value(right: &'static str, wrong: &'static str, call: &'static str) -> Switch {
    Switch { right, wrong, call, between: ", ", end: ")" }
}

const fn compared(right: &'static str, wrong: &'static str, call: &'static str) -> Switch {
    Switch { right, wrong, call, between: "), &(", end: "))" }
}

fn switch(operator: &BinOp) -> Option<Switch> {
    Some(match operator {
        BinOp::Add(_) => value("+", "-", "mutant::add(#, "),
        BinOp::Sub(_) => value("-", "+", "mutant::sub(#, "),
        BinOp::Mul(_) => value("*", "/", "mutant::mul(#, "),
        BinOp::Div(_) => value("/", "*", "mutant::div(#, "),
        BinOp::Lt(_) => compared("<", ">=", "mutant::lt(#, &("),
        BinOp::Le(_) => compared("<=", ">", "mutant::le(#, &("),
        BinOp::Gt(_) => compared(">", "<=", "mutant::gt(#, &("),
        BinOp::Ge(_) => compared(">=", "<", "mutant::ge(#, &("),
        BinOp::Eq(_) => compared("==", "!=", "mutant::eq(#, &("),
        BinOp::Ne(_) => compared("!=", "==", "mutant::ne(#, &("),
        BinOp::And(_) => Switch { between: ", || ", ..value("&&", "||", "mutant::and(#, ") },
        BinOp::Or(_) => Switch { between: ", || ", ..value("||", "&&", "mutant::or(#, ") },
        BinOp::AddAssign(_) => value("+=", "-=", "mutant_assign!(add_assign, #, "),
        BinOp::SubAssign(_) => value("-=", "+=", "mutant_assign!(sub_assign, #, "),
        BinOp::MulAssign(_) => value("*=", "/=", "mutant_assign!(mul_assign, #, "),
        BinOp::DivAssign(_) => value("/=", "*=", "mutant_assign!(div_assign, #, "),
        _ => return None,
    })
}

impl Places<'_> {
    /// The number of a place, unless it is to stay as it is.
    fn number(&mut self, span: Span, right: &'static str, wrong: &'static str) -> Option<u32> {
        let start = span.start();
        let place = format!("{}:{}:{}", self.file, start.line, start.column + 1);
        if self.skip.contains(&place) {
            return None;
        }
        let number = self.next;
        self.next += 1;
        self.found.push((number, place, right, wrong));
        Some(number)
    }

    /// What stands between both sides, with as many lines as there were: places keep their line.
    fn between(&self, start: usize, end: usize, text: &str) -> String {
        text.to_owned() + &"\n".repeat(self.text[start..end].matches('\n').count())
    }

    fn binary(&mut self, node: &ExprBinary) {
        let Some(switch) = switch(&node.op) else { return };
        let lets = [&node.left, &node.right].into_iter().any(|side| has_let(side));
        if lets {
            return;
        }
        let Some(number) = self.number(node.op.span(), switch.right, switch.wrong) else { return };
        let (left, right) = (node.left.span().byte_range(), node.right.span().byte_range());
        let call = switch.call.replace('#', &number.to_string());
        let call = format!("crate::{call}");
        self.edits.pieces.push((left.start, left.start, call));
        let between = self.between(left.end, right.start, switch.between);
        self.edits.pieces.push((left.end, right.start, between));
        self.edits.closings.push((right.end, switch.end.to_owned()));
    }

    fn unary(&mut self, node: &ExprUnary) {
        if !matches!(node.op, UnOp::Neg(_)) || matches!(*node.expr, Expr::Lit(_)) {
            return;
        }
        let Some(number) = self.number(node.op.span(), "-", "") else { return };
        let (operator, inner) = (node.op.span().byte_range(), node.expr.span().byte_range());
        let call = format!("crate::mutant::neg({number}, ");
        self.edits.pieces.push((operator.start, inner.start, call));
        self.edits.closings.push((inner.end, ")".to_owned()));
    }
}

/// Whether an expression binds names.
fn has_let(expression: &Expr) -> bool {
    match expression {
        Expr::Let(_) => true,
        Expr::Binary(both) => has_let(&both.left) || has_let(&both.right),
        _ => false,
    }
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        a.path().is_ident("test")
            || matches!(&a.meta, syn::Meta::List(list) if a.path().is_ident("cfg") && list.tokens.to_string() == "test")
    })
}

impl<'ast> Visit<'ast> for Places<'_> {
    fn visit_expr_binary(&mut self, node: &'ast ExprBinary) {
        self.binary(node);
        syn::visit::visit_expr_binary(self, node);
    }

    fn visit_expr_unary(&mut self, node: &'ast ExprUnary) {
        self.unary(node);
        syn::visit::visit_expr_unary(self, node);
    }

    fn visit_item_mod(&mut self, node: &'ast syn::ItemMod) {
        if !is_test(&node.attrs) {
            syn::visit::visit_item_mod(self, node);
        }
    }

    fn visit_item_fn(&mut self, node: &'ast syn::ItemFn) {
        if node.sig.constness.is_none() && !is_test(&node.attrs) {
            syn::visit::visit_item_fn(self, node);
        }
    }

    fn visit_impl_item_fn(&mut self, node: &'ast syn::ImplItemFn) {
        if node.sig.constness.is_none() {
            syn::visit::visit_impl_item_fn(self, node);
        }
    }

    // What stands in these is worked out while compiling.
    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}
    fn visit_pat(&mut self, _: &'ast syn::Pat) {}
    fn visit_expr_repeat(&mut self, node: &'ast syn::ExprRepeat) {
        self.visit_expr(&node.expr);
    }
}
