use signal_hook::SigId;
use signal_hook::consts::SIGINT;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Listens for Ctrl-C as long as it lives; a second one ends the process at once.
pub(super) struct Interrupt {
    heard: Arc<AtomicBool>,
    hooks: Vec<SigId>,
}

impl Interrupt {
    pub(super) fn listen() -> Self {
        let heard = Arc::new(AtomicBool::new(false));
        // Where the system lets nobody listen, Ctrl-C keeps its usual meaning. Order matters: the first
        // of these acts only once the second has heard one.
        let hooks = [
            signal_hook::flag::register_conditional_default(SIGINT, Arc::clone(&heard)),
            signal_hook::flag::register(SIGINT, Arc::clone(&heard)),
        ];
        Self { heard, hooks: hooks.into_iter().flatten().collect() }
    }

    pub(super) fn heard(&self) -> bool {
        self.heard.load(Ordering::Relaxed)
    }
}

impl Drop for Interrupt {
    fn drop(&mut self) {
        for hook in &self.hooks {
            signal_hook::low_level::unregister(*hook);
        }
    }
}
