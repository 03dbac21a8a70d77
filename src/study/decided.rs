//! A question after its design: everything that was open is decided.
use super::{Design, Question, StudyFault, purchase};
use crate::part::{Fixed, Grade};

/// The question with every value, grade and op amp as `design` has them, for what is asked after it:
/// the working and the sheet for the bench then choose nothing again.
///
/// # Errors
/// [`StudyFault`] as [`super::design()`], where op amps were tried and none holds every limit.
///
/// ```
/// use evenkeel::part::Fixed;
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{DesignOptions, decided, design};
///
/// let question = &read("s.toml", "[target]\ngain = 100\n", &NoFiles)?.channels[0].question;
/// let found = design(question, &DesignOptions::default())?;
/// let settled = decided(question, &found)?;
/// for line in &found.resistors {
///     assert_eq!(settled.resistors.fixed[&line.name], line.ohm.map_or(Fixed::Open, Fixed::Ohm));
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn decided(question: &Question, design: &Design) -> Result<Question, StudyFault> {
    let taken = design.candidates.iter().find(|line| line.ruled_out_by.is_empty());
    let candidate = taken.and_then(|line| question.candidates.iter().find(|one| one.title == line.opamp));
    let mut out = match candidate {
        Some(candidate) => purchase::with(question, candidate),
        None if question.candidates.is_empty() => question.clone(),
        None => purchase::buy(question, &super::aim::aim(question)?)?.question,
    };
    out.candidates.clear();
    out.resistors.grades.clear();
    for line in &design.resistors {
        out.resistors.fixed.insert(line.name, line.ohm.map_or(Fixed::Open, Fixed::Ohm));
        let grade = Grade { tolerance: line.tolerance, tempco_per_k: line.tempco_per_k };
        match out.resistors.networks.iter_mut().find(|network| network.members.contains(&line.name)) {
            // a member with a grade of its own keeps it
            Some(_) if out.resistors.own_grade.contains_key(&line.name) => {}
            Some(network) => network.grade = Some(grade),
            None => {
                out.resistors.own_grade.insert(line.name, grade);
            }
        }
    }
    Ok(out)
}
