//! Ranks faults by readings (sequential diagnosis with computed probabilities, de Kleer and Williams 1987).
//!
//! Each fault predicts all readings together. Tolerances that move several readings at once (the supply first) enter the
//! covariance as columns, so that a high mains voltage does not accuse a part; each meter error enters its diagonal. A
//! fault with a continuous size (ohms added) is averaged over a grid of sizes. Sums run over logarithms; a small share of
//! any one reading may be a misread or a wrong point, and the answer says which reading looks like that.

/// One reading with what is known of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// What was read.
    pub value: f64,
    /// Error of the meter as a share of the reading.
    pub relative: f64,
    /// Error of the meter that does not depend on the reading.
    pub fixed: f64,
    /// Error of the model.
    pub model: f64,
    /// Width of the range over which a misread value may lie.
    pub range: f64,
}

impl Observation {
    fn variance(&self, predicted: f64) -> f64 {
        (self.relative * predicted.abs() + self.fixed).powi(2) + self.model.powi(2)
    }
}

/// What one size of a fault predicts.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// Its size, such as the ohms added, for continuous faults.
    pub size: Option<f64>,
    /// How likely this size is beside the others of its grid, and how well it agrees with what else was seen.
    pub weight: f64,
    /// Predicted readings.
    pub values: Vec<f64>,
    /// For each common tolerance the change of all readings at one standard deviation.
    pub common: Vec<Vec<f64>>,
}

/// A fault with its weight and the sizes that it may have.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// Weight of any scale.
    pub weight: f64,
    /// Predictions of its sizes; one for a fault without size.
    pub grid: Vec<Prediction>,
}

/// Mean and spread of the size of a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Mean.
    pub mean: f64,
    /// Five percent lie below.
    pub low: f64,
    /// Five percent lie above.
    pub high: f64,
}

/// A fault with its share.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// Index of the hypothesis.
    pub hypothesis: usize,
    /// Its share.
    pub share: f64,
    /// Size, for continuous faults.
    pub size: Option<Size>,
}

/// All faults with their shares, and how well the best explain the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// All hypotheses, likeliest first.
    pub ranked: Vec<Ranked>,
    /// For each observation the probability that it is misread, or taken at a wrong point.
    pub misread: Vec<f64>,
    /// Smallest mean squared distance, in standard deviations, of all readings from any prediction; about one when all is well.
    pub misfit: f64,
}

/// Why nothing can be ranked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RankingError {
    /// There is no hypothesis with any weight.
    NoWeight,
    /// A number is not finite, or a prediction does not fit the observations.
    BadNumber,
}

impl std::fmt::Display for RankingError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            RankingError::NoWeight => write!(f, "all weights are zero, so no fault can be likelier than another"),
            RankingError::BadNumber => {
                write!(f, "a prediction or a reading is not a finite number")
            }
        }
    }
}

impl std::error::Error for RankingError {}

/// Shares of all hypotheses after the readings. `misreading` is how often one reading is wrong altogether, about 0.02.
///
/// # Errors
/// When no hypothesis has weight, or numbers do not fit.
pub fn rank(hypotheses: &[Hypothesis], observations: &[Observation], misreading: f64) -> Result<Ranking, RankingError> {
    verify(hypotheses, observations)?;
    let scores: Vec<Vec<Score>> = hypotheses
        .iter()
        .map(|hypothesis| {
            hypothesis.grid.iter().map(|prediction| score(prediction, observations, misreading)).collect()
        })
        .collect();
    let logs: Vec<f64> = hypotheses
        .iter()
        .zip(&scores)
        .map(|(hypothesis, grid)| {
            #[expect(clippy::cast_precision_loss, reason = "a grid has few points")]
            let count = grid.len() as f64;
            hypothesis.weight.ln() - count.ln() + log_sum(grid.iter().map(|score| score.log))
        })
        .collect();
    let all = log_sum(logs.iter().copied());
    if all == f64::NEG_INFINITY {
        return Err(RankingError::NoWeight);
    }
    let shares: Vec<f64> = logs.iter().map(|log| (log - all).exp()).collect();
    let misread = misread_shares(hypotheses, &scores, observations.len(), all);
    let misfit = scores.iter().flatten().map(|score| score.misfit).fold(f64::INFINITY, f64::min);
    let mut ranked: Vec<Ranked> = (0..hypotheses.len())
        .map(|index| Ranked { hypothesis: index, share: shares[index], size: size(&hypotheses[index], &scores[index]) })
        .collect();
    ranked.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.hypothesis.cmp(&b.hypothesis)));
    Ok(Ranking { ranked, misread, misfit })
}

fn verify(hypotheses: &[Hypothesis], observations: &[Observation]) -> Result<(), RankingError> {
    let fits = |prediction: &Prediction| {
        prediction.values.len() == observations.len()
            && prediction.common.iter().all(|column| column.len() == observations.len())
            && prediction.values.iter().chain(prediction.common.iter().flatten()).all(|value| value.is_finite())
    };
    let sound = observations.iter().all(|one| {
        one.value.is_finite() && one.variance(0.0) > 0.0 && one.variance(0.0).is_finite() && one.range > 0.0
    });
    if !sound
        || !hypotheses.iter().all(|one| {
            !one.grid.is_empty()
                && one.grid.iter().all(fits)
                && one.weight >= 0.0
                && one.grid.iter().all(|point| point.weight >= 0.0)
        })
    {
        return Err(RankingError::BadNumber);
    }
    let total: f64 = hypotheses.iter().map(|one| one.weight).sum();
    if total > 0.0 && total.is_finite() { Ok(()) } else { Err(RankingError::NoWeight) }
}

/// How well a prediction explains the readings.
struct Score {
    /// Logarithm of the likelihood of all readings, misreadings included.
    log: f64,
    /// For each observation the logarithm of the part of that likelihood in which it is misread.
    misread: Vec<f64>,
    /// Mean squared distance in standard deviations.
    misfit: f64,
}

/// Likelihood of all readings with at most one of them misread, or all of them.
fn score(prediction: &Prediction, observations: &[Observation], misreading: f64) -> Score {
    let count = observations.len();
    if count == 0 {
        return Score { log: prediction.weight.ln(), misread: Vec::new(), misfit: 0.0 };
    }
    let gauss = Gauss::new(prediction, observations);
    #[expect(clippy::cast_precision_loss, reason = "a person takes few readings")]
    let number = count as f64;
    let sound = number * (1.0 - misreading).ln() + gauss.log;
    // The density of the others is that of all, divided by that of this one given the others.
    let misread: Vec<f64> = (0..count)
        .map(|one| {
            (number - 1.0) * (1.0 - misreading).ln() + misreading.ln() + gauss.log
                - gauss.log_of_one(one)
                - observations[one].range.ln()
        })
        .collect();
    let all_wrong: f64 = observations.iter().map(|one| misreading.ln() - one.range.ln()).sum();
    let log = log_sum(misread.iter().copied().chain([sound, all_wrong]));
    let prior = prediction.weight.ln();
    let misread = misread.into_iter().map(|one| one + prior).collect();
    Score { log: log + prior, misread, misfit: gauss.distance / number }
}

/// A normal density at the readings.
struct Gauss {
    log: f64,
    /// Squared distance in standard deviations.
    distance: f64,
    /// Inverse covariance times the differences.
    weighted: Vec<f64>,
    /// Diagonal of the inverse covariance.
    precision: Vec<f64>,
}

/// ln(2π).
const LN_TAU: f64 = 1.837_877_066_409_345_5;

impl Gauss {
    /// The covariance is a diagonal with a few columns' products added, one for each common tolerance. Its inverse and
    /// determinant follow column by column (Sherman and Morrison), in time linear in the readings: a fault with a grid of
    /// sizes asks for thousands of these.
    fn new(prediction: &Prediction, observations: &[Observation]) -> Self {
        let predicted = prediction.values.iter();
        let difference: Vec<f64> = observations.iter().zip(predicted).map(|(one, value)| one.value - value).collect();
        let variances: Vec<f64> =
            observations.iter().zip(&prediction.values).map(|(one, value)| one.variance(*value)).collect();
        let mut precision: Vec<f64> = variances.iter().map(|variance| variance.recip()).collect();
        let mut weighted: Vec<f64> = difference.iter().zip(&variances).map(|(one, variance)| one / variance).collect();
        let mut log_determinant: f64 = variances.iter().map(|variance| variance.ln()).sum();
        let mut taken: Vec<(Vec<f64>, f64)> = Vec::with_capacity(prediction.common.len());
        for column in &prediction.common {
            let mut seen: Vec<f64> = column.iter().zip(&variances).map(|(one, variance)| one / variance).collect();
            for (before, whole) in &taken {
                let share = dot(before, column) / whole;
                seen.iter_mut().zip(before).for_each(|(one, before)| *one -= share * before);
            }
            let whole = 1.0 + dot(&seen, column);
            let share = dot(&seen, &difference) / whole;
            weighted.iter_mut().zip(&seen).for_each(|(one, seen)| *one -= share * seen);
            precision.iter_mut().zip(&seen).for_each(|(one, seen)| *one -= seen * seen / whole);
            log_determinant += whole.ln();
            taken.push((seen, whole));
        }
        let distance = dot(&weighted, &difference);
        #[expect(clippy::cast_precision_loss, reason = "a person takes few readings")]
        let log = -0.5 * (observations.len() as f64 * LN_TAU + distance + log_determinant);
        Self { log, distance, weighted, precision }
    }

    /// Logarithm of the density of one reading given the others.
    fn log_of_one(&self, one: usize) -> f64 {
        let precision = self.precision[one].max(f64::MIN_POSITIVE);
        let residual = self.weighted[one] / precision;
        0.5 * (precision.ln() - LN_TAU - precision * residual * residual)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Logarithm of the sum of what these are the logarithms of.
fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let largest = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if largest == f64::NEG_INFINITY {
        return largest;
    }
    largest + logs.map(|log| (log - largest).exp()).sum::<f64>().ln()
}

fn misread_shares(hypotheses: &[Hypothesis], scores: &[Vec<Score>], observations: usize, all: f64) -> Vec<f64> {
    (0..observations)
        .map(|one| {
            hypotheses
                .iter()
                .zip(scores)
                .map(|(hypothesis, grid)| {
                    #[expect(clippy::cast_precision_loss, reason = "a grid has few points")]
                    let count = grid.len() as f64;
                    let sum: f64 = grid.iter().map(|score| (score.misread[one] - all).exp()).sum();
                    hypothesis.weight / count * sum
                })
                .sum::<f64>()
                .min(1.0)
        })
        .collect()
}

/// Mean and spread of the size over the grid.
fn size(hypothesis: &Hypothesis, scores: &[Score]) -> Option<Size> {
    let sizes: Option<Vec<f64>> = hypothesis.grid.iter().map(|prediction| prediction.size).collect();
    let sizes = sizes?;
    let all = log_sum(scores.iter().map(|score| score.log));
    let mut points: Vec<(f64, f64)> =
        sizes.into_iter().zip(scores.iter().map(|score| (score.log - all).exp())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mean = points.iter().map(|(size, share)| size * share).sum();
    Some(Size { mean, low: quantile(&points, 0.05), high: quantile(&points, 0.95) })
}

/// The first size below which at least this share lies.
fn quantile(points: &[(f64, f64)], share: f64) -> f64 {
    let mut sum = 0.0;
    for &(size, part) in points {
        sum += part;
        if sum >= share {
            return size;
        }
    }
    points.last().map_or(0.0, |&(size, _)| size)
}
