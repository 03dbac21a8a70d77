//! Places of a file where mutants are, found in its syntax.
use crate::list::Mutant;
use proc_macro2::Span;
use std::collections::{HashMap, HashSet};
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Arm, Block, Expr, ExprBinary, ExprRepeat, ExprStruct, ExprUnary, Pat, Signature, Type};

pub enum Kind {
    Binary {
        left: Range<usize>,
        right: Range<usize>,
        op: String,
    },
    Unary {
        operand: Range<usize>,
        op: String,
    },
    /// A condition that stands, or that is put, behind a pattern.
    Guard {
        stands: bool,
    },
    /// Before the first statement of a function.
    Body,
    /// A field of a value that takes its others from a base.
    Field {
        name: String,
        value: Range<usize>,
        of: Range<usize>,
        base: Range<usize>,
    },
    /// The word `const` of a function, which can't ask which mutant is on.
    Const,
}

pub struct Site {
    pub at: Range<usize>,
    pub kind: Kind,
    pub mutants: Vec<Mutant>,
}

pub struct Finder<'m> {
    by_start: HashMap<usize, Vec<&'m Mutant>>,
    /// Names of functions that have to stay `const`.
    constant: &'m HashSet<String>,
    pub sites: Vec<Site>,
}

fn bytes(span: Span) -> Range<usize> {
    span.byte_range()
}

fn has_let(expr: &Expr) -> bool {
    match expr {
        Expr::Let(_) => true,
        Expr::Binary(binary) => has_let(&binary.left) || has_let(&binary.right),
        _ => false,
    }
}

impl<'m> Finder<'m> {
    pub fn new(mutants: impl Iterator<Item = &'m Mutant>, constant: &'m HashSet<String>) -> Self {
        let mut by_start: HashMap<usize, Vec<&Mutant>> = HashMap::new();
        mutants.for_each(|mutant| by_start.entry(mutant.span.0).or_default().push(mutant));
        Self { by_start, constant, sites: Vec::new() }
    }

    fn push(&mut self, at: Range<usize>, start: usize, genres: &[&str], kind: Kind) {
        let here = self.by_start.get(&start).into_iter().flatten();
        let mutants: Vec<Mutant> =
            here.filter(|mutant| genres.contains(&mutant.genre.as_str())).map(|&one| one.clone()).collect();
        if !mutants.is_empty() {
            self.sites.push(Site { at, kind, mutants });
        }
    }

    fn function(&mut self, signature: &Signature, block: &Block) {
        if let Some(word) = signature.constness {
            if self.constant.contains(&signature.ident.to_string()) {
                return;
            }
            self.sites.push(Site { at: bytes(word.span), kind: Kind::Const, mutants: Vec::new() });
        }
        if let Some(first) = block.stmts.first() {
            let open = bytes(block.brace_token.span.open()).end;
            self.push(open..open, bytes(first.span()).start, &["FnValue"], Kind::Body);
        }
        self.visit_block(block);
    }
}

impl<'a> Visit<'a> for Finder<'_> {
    fn visit_item_fn(&mut self, item: &'a syn::ItemFn) {
        self.function(&item.sig, &item.block);
    }

    fn visit_impl_item_fn(&mut self, item: &'a syn::ImplItemFn) {
        self.function(&item.sig, &item.block);
    }

    fn visit_trait_item_fn(&mut self, item: &'a syn::TraitItemFn) {
        if let Some(block) = &item.default {
            self.function(&item.sig, block);
        }
    }

    fn visit_expr_binary(&mut self, binary: &'a ExprBinary) {
        if !has_let(&Expr::Binary(binary.clone())) {
            let op = bytes(binary.op.span());
            let kind = Kind::Binary {
                left: bytes(binary.left.span()),
                right: bytes(binary.right.span()),
                op: binary.op.span().source_text().unwrap_or_default(),
            };
            self.push(bytes(binary.span()), op.start, &["BinaryOperator"], kind);
        }
        visit::visit_expr_binary(self, binary);
    }

    fn visit_expr_unary(&mut self, unary: &'a ExprUnary) {
        let op = bytes(unary.op.span());
        let kind =
            Kind::Unary { operand: bytes(unary.expr.span()), op: unary.op.span().source_text().unwrap_or_default() };
        self.push(bytes(unary.span()), op.start, &["UnaryOperator"], kind);
        visit::visit_expr_unary(self, unary);
    }

    fn visit_arm(&mut self, arm: &'a Arm) {
        let pattern = bytes(arm.pat.span());
        let start = bytes(arm.span()).start;
        match &arm.guard {
            Some((_, guard)) if !has_let(guard) => {
                let at = bytes(guard.span());
                let mut site = Site { at: at.clone(), kind: Kind::Guard { stands: true }, mutants: Vec::new() };
                for (start, genre) in [(at.start, "MatchArmGuard"), (start, "MatchArm")] {
                    let here = self.by_start.get(&start).into_iter().flatten();
                    site.mutants.extend(here.filter(|one| one.genre == genre).map(|&one| one.clone()));
                }
                if !site.mutants.is_empty() {
                    self.sites.push(site);
                }
            }
            Some(_) => {}
            None => self.push(pattern.end..pattern.end, start, &["MatchArm"], Kind::Guard { stands: false }),
        }
        visit::visit_arm(self, arm);
    }

    fn visit_expr_struct(&mut self, built: &'a ExprStruct) {
        for field in &built.fields {
            if let Some(base) = &built.rest {
                let kind = Kind::Field {
                    name: field.member.span().source_text().unwrap_or_default(),
                    value: bytes(field.expr.span()),
                    of: bytes(built.path.span()),
                    base: bytes(base.span()),
                };
                let at = bytes(field.span());
                self.push(at.clone(), at.start, &["StructField"], kind);
            }
        }
        visit::visit_expr_struct(self, built);
    }

    fn visit_expr_repeat(&mut self, repeat: &'a ExprRepeat) {
        self.visit_expr(&repeat.expr);
    }

    // What the compiler works out can't be switched at run time.
    fn visit_item_const(&mut self, _: &'a syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'a syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'a syn::ImplItemConst) {}
    fn visit_trait_item_const(&mut self, _: &'a syn::TraitItemConst) {}
    fn visit_expr_const(&mut self, _: &'a syn::ExprConst) {}
    fn visit_type(&mut self, _: &'a Type) {}
    fn visit_pat(&mut self, _: &'a Pat) {}
}
