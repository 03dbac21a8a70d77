//! Faults that can be named from the wiring alone, before any number is looked at.
use super::wiring::{Element, Item, Kind, Node};
use super::{GROUND, NetworkFault};

pub(super) fn wiring(nodes: &[String], items: &[Item]) -> Result<(), NetworkFault> {
    floating(nodes, items)?;
    source_loop(nodes.len(), items)?;
    no_feedback(nodes.len(), items)
}

/// Sets of nodes that are joined step by step.
struct Joined(Vec<usize>);

impl Joined {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }
    fn root(&mut self, mut of: usize) -> usize {
        while self.0[of] != of {
            self.0[of] = self.0[self.0[of]];
            of = self.0[of];
        }
        of
    }
    /// False when they were joined already.
    fn join(&mut self, a: Node, b: Node) -> bool {
        let (a, b) = (self.root(a.0), self.root(b.0));
        self.0[a] = b;
        a != b
    }
}

/// Every node is reached from ground by conduction at dc.
fn floating(nodes: &[String], items: &[Item]) -> Result<(), NetworkFault> {
    let mut joined = Joined::new(nodes.len());
    for item in items {
        match item.kind {
            Kind::Resistor { a, b, .. } => joined.join(a, b),
            Kind::Source { plus, minus } => joined.join(plus, minus),
            Kind::Amplifier { out, base, .. } => joined.join(out, base),
            Kind::Capacitor { .. } => true,
        };
    }
    let ground = joined.root(GROUND.0);
    match (0..nodes.len()).find(|&node| joined.root(node) != ground) {
        Some(node) => Err(NetworkFault::FloatingNode { node: nodes[node].clone() }),
        None => Ok(()),
    }
}

fn source_loop(count: usize, items: &[Item]) -> Result<(), NetworkFault> {
    let mut joined = Joined::new(count);
    for item in items {
        let free = match item.kind {
            Kind::Source { plus, minus } => joined.join(plus, minus),
            Kind::Amplifier { out, base, .. } => joined.join(out, base),
            _ => true,
        };
        if !free {
            return Err(NetworkFault::SourceLoop { element: item.name.clone() });
        }
    }
    Ok(())
}

/// An op amp's output must be able to move its own input: through resistors and other amplifiers,
/// but not across a node that an ideal source holds.
fn no_feedback(count: usize, items: &[Item]) -> Result<(), NetworkFault> {
    let mut held = vec![false; count];
    held[GROUND.0] = true;
    for item in items {
        if let Kind::Source { plus, minus } = item.kind {
            if minus == GROUND {
                held[plus.0] = true;
            } else if plus == GROUND {
                held[minus.0] = true;
            }
        }
    }
    for item in items {
        let Kind::Amplifier { plus, minus, out, needs_feedback: true, .. } = item.kind else { continue };
        let mut reached = vec![false; count];
        reached[out.0] = true;
        let mut grown = true;
        while grown {
            grown = false;
            for other in items {
                let steps: &[(Node, Node)] = match other.kind {
                    Kind::Resistor { a, b, .. } => &[(a, b), (b, a)],
                    Kind::Source { plus, minus } => &[(plus, minus), (minus, plus)],
                    Kind::Amplifier { plus, minus, out, base, .. } => &[(plus, out), (minus, out), (base, out)],
                    Kind::Capacitor { .. } => &[],
                };
                for &(from, to) in steps {
                    if reached[from.0] && !held[from.0] && !held[to.0] && !reached[to.0] {
                        reached[to.0] = true;
                        grown = true;
                    }
                }
            }
        }
        if !reached[plus.0] && !reached[minus.0] {
            return Err(NetworkFault::NoFeedback { element: item.name.clone() });
        }
    }
    Ok(())
}

/// Resistors at whose one end nothing else can carry a dc current, stripped leaf by leaf.
pub(super) fn idle_at_dc(count: usize, items: &[Item]) -> Vec<Element> {
    let mut degree = vec![0_usize; count];
    degree[GROUND.0] = 2;
    for item in items {
        match item.kind {
            Kind::Resistor { a, b, .. } => {
                degree[a.0] += 1;
                degree[b.0] += 1;
            }
            Kind::Source { plus, minus } => {
                degree[plus.0] += 2;
                degree[minus.0] += 2;
            }
            Kind::Amplifier { out, base, .. } => {
                degree[out.0] += 2;
                degree[base.0] += 2;
            }
            Kind::Capacitor { .. } => {}
        }
    }
    let mut idle = Vec::new();
    loop {
        let leaf = items.iter().enumerate().find_map(|(index, item)| match item.kind {
            Kind::Resistor { a, b, .. }
                if !idle.contains(&Element(index)) && (degree[a.0] == 1 || degree[b.0] == 1) =>
            {
                Some((index, a, b))
            }
            _ => None,
        });
        let Some((index, a, b)) = leaf else { return idle };
        degree[a.0] -= 1;
        degree[b.0] -= 1;
        idle.push(Element(index));
    }
}
