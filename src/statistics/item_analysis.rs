//! Item statistics: how well a set of questions told those who knew from those who did not.
//!
//! Stands alone: a [`Matrix`] of points goes in, [`Statistics`] come out. Where the points come from is
//! [`crate::people::season`]'s business; how they are printed, that of the season report.
//!
//! **Conventions.** An item is a question; its difficulty is the mean of its points over the most that
//! it gives, so that 1 is an item that everybody had right. Discrimination is the product-moment
//! correlation of an item with the sum of the other items (item–rest; for items of right and wrong the
//! corrected point-biserial). Reliability is Cronbach's alpha (Cronbach 1951, Psychometrika 16,
//! 297–334); for items of right and wrong worth the same it equals formula 20 of Kuder and Richardson (1937,
//! Psychometrika 2, 151–160) and bears that name. Variances divide by n throughout, the one of items
//! and the one of totals, so that alpha and KR-20 agree. The standard error of measurement is
//! SD × √(1 − alpha), with the standard deviation that divides by n − 1.
//!
//! **Answers that are missing.** A blank from somebody who handed in other answers counts as no
//! points, since the question was put to that person. Who left everything blank is not counted at all. An
//! answer that still waits for the ranger's eye is neither right nor wrong: an item of which more than
//! half the answers wait is left out, then every person of whom one answer to the remaining items
//! waits. All statistics are about the people and items that remain, and both counts are given.
//!
//! **What is not defined** has a reason ([`Undefined`]) and no number: a correlation with something that
//! does not vary, the reliability of one item, anything of one person. Alpha may be below zero.

/// Fewer people than this, and reliability and discrimination say nothing: by Fisher's transformation
/// (Fisher 1921, Metron 1, 3–32, from memory) a correlation that is truly zero still comes out anywhere
/// between −0.36 and 0.36 in 19 samples of 20. That 30 is where to draw the line is common practice, no source.
pub const FEWEST_PEOPLE: usize = 30;

/// With fewer people than this the same two are rough: ± 0.2 by the same rule. Common practice, no source.
pub const ROUGH_PEOPLE: usize = 100;

/// What one person gave to one item.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Answer {
    Points(f64),
    /// Nothing was written.
    Blank,
    /// Not decided yet.
    Waits,
}

/// People in rows, items in columns.
#[derive(Clone, Debug, Default)]
pub struct Matrix {
    /// The most points that each item gives; more than none.
    pub most: Vec<f64>,
    /// As long as `most`, each.
    pub rows: Vec<Vec<Answer>>,
}

/// Why there is no such number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Undefined {
    NoPeople,
    OnePerson,
    OneItem,
    /// Everybody has the same.
    NoVariance,
}

/// A number, or why there is none.
pub type Statistic = Result<f64, Undefined>;

#[derive(Clone, Debug, PartialEq)]
pub struct Statistics {
    /// How many people they are about.
    pub people: usize,
    /// People of whom an answer still waits.
    pub left_out: usize,
    /// Of each item of the matrix, in its order; `None` for one that was left out.
    pub items: Vec<Option<ItemStatistics>>,
    pub mean_total: Statistic,
    /// Of the totals; divides by n − 1.
    pub deviation: Statistic,
    pub reliability: Statistic,
    /// Whether every item is right or wrong and worth the same, so that the reliability is KR-20.
    pub is_kr20: bool,
    /// Formula 21 of Kuder and Richardson: KR-20 if all items were equally hard. Only where that is defined.
    pub kr21: Option<Statistic>,
    pub standard_error: Statistic,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ItemStatistics {
    /// From 0 to 1; 1 where everybody has all its points.
    pub difficulty: Statistic,
    /// Divides by n.
    pub variance: Statistic,
    /// With the total that holds the item itself.
    pub item_total: Statistic,
    /// With the sum of the other items.
    pub discrimination: Statistic,
    /// The reliability of the other items.
    pub reliability_without: Statistic,
}

/// The statistics of a matrix, by the rules at the head of this module.
pub fn statistics(matrix: &Matrix) -> Statistics {
    let answered: Vec<&Vec<Answer>> =
        matrix.rows.iter().filter(|row| row.iter().any(|answer| *answer != Answer::Blank)).collect();
    let kept: Vec<usize> = (0..matrix.most.len())
        .filter(|item| {
            let waiting = answered.iter().filter(|row| row[*item] == Answer::Waits).count();
            waiting * 2 <= answered.len()
        })
        .collect();
    let rows: Vec<Vec<f64>> = answered
        .iter()
        .filter_map(|row| kept.iter().map(|item| points(row[*item])).collect::<Option<Vec<f64>>>())
        .collect();
    let left_out = answered.len() - rows.len();
    let most: Vec<f64> = kept.iter().map(|item| matrix.most[*item]).collect();
    let sheet = Sheet { most, rows };
    let mut items = vec![None; matrix.most.len()];
    for (at, item) in kept.into_iter().enumerate() {
        items[item] = Some(sheet.item(at));
    }
    let reliability = sheet.alpha(None);
    let is_kr20 = sheet.is_right_or_wrong();
    let deviation = sheet.enough_people().map(|()| deviation(&sheet.totals()));
    Statistics {
        people: sheet.rows.len(),
        left_out,
        items,
        mean_total: if sheet.rows.is_empty() { Err(Undefined::NoPeople) } else { Ok(mean(&sheet.totals())) },
        deviation,
        reliability,
        is_kr20,
        kr21: is_kr20.then(|| sheet.kr21()),
        standard_error: reliability.and_then(|alpha| Ok(deviation? * (1.0 - alpha).max(0.0).sqrt())),
    }
}

fn points(answer: Answer) -> Option<f64> {
    match answer {
        Answer::Points(points) => Some(points),
        Answer::Blank => Some(0.0),
        Answer::Waits => None,
    }
}

/// A matrix without gaps.
struct Sheet {
    most: Vec<f64>,
    rows: Vec<Vec<f64>>,
}

impl Sheet {
    fn enough_people(&self) -> Result<(), Undefined> {
        match self.rows.len() {
            0 => Err(Undefined::NoPeople),
            1 => Err(Undefined::OnePerson),
            _ => Ok(()),
        }
    }

    fn column(&self, item: usize) -> Vec<f64> {
        self.rows.iter().map(|row| row[item]).collect()
    }

    fn totals(&self) -> Vec<f64> {
        self.rows.iter().map(|row| row.iter().sum()).collect()
    }

    fn item(&self, item: usize) -> ItemStatistics {
        let column = self.column(item);
        let totals = self.totals();
        let rest: Vec<f64> = totals.iter().zip(&column).map(|(total, own)| total - own).collect();
        let one_item = self.most.len() < 2;
        ItemStatistics {
            difficulty: match column.is_empty() {
                true => Err(Undefined::NoPeople),
                false => Ok(mean(&column) / self.most[item]),
            },
            variance: self.enough_people().map(|()| variance(&column)),
            item_total: self.enough_people().and_then(|()| correlation(&column, &totals)),
            discrimination: match one_item {
                true => Err(Undefined::OneItem),
                false => self.enough_people().and_then(|()| correlation(&column, &rest)),
            },
            reliability_without: self.alpha(Some(item)),
        }
    }

    /// Cronbach's alpha, k / (k − 1) × (1 − Σ item variances / total variance), of all items but one.
    fn alpha(&self, without: Option<usize>) -> Statistic {
        self.enough_people()?;
        let items: Vec<usize> = (0..self.most.len()).filter(|item| Some(*item) != without).collect();
        if items.len() < 2 {
            return Err(Undefined::OneItem);
        }
        let totals: Vec<f64> =
            self.rows.iter().map(|row| items.iter().map(|item| row[*item]).sum()).collect();
        if is_constant(&totals) {
            return Err(Undefined::NoVariance);
        }
        let own: f64 = items.iter().map(|item| variance(&self.column(*item))).sum();
        let count = items.len() as f64;
        Ok(count / (count - 1.0) * (1.0 - own / variance(&totals)))
    }

    fn is_right_or_wrong(&self) -> bool {
        let all = self.most.first().copied().unwrap_or_default();
        let fits = |points: f64| points == 0.0 || points == all;
        self.most.iter().all(|most| *most == all) && self.rows.iter().flatten().all(|points| fits(*points))
    }

    /// k / (k − 1) × (1 − M (k − M) / (k × total variance)), with the totals counted in items right.
    fn kr21(&self) -> Statistic {
        self.enough_people()?;
        let count = self.most.len() as f64;
        if self.most.len() < 2 {
            return Err(Undefined::OneItem);
        }
        let right: Vec<f64> = self.totals().iter().map(|total| total / self.most[0]).collect();
        if is_constant(&right) {
            return Err(Undefined::NoVariance);
        }
        let middle = mean(&right);
        let expected = middle * (count - middle) / (count * variance(&right));
        Ok(count / (count - 1.0) * (1.0 - expected))
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn squares(values: &[f64]) -> f64 {
    let middle = mean(values);
    values.iter().map(|value| (value - middle).powi(2)).sum()
}

/// Divides by n.
fn variance(values: &[f64]) -> f64 {
    squares(values) / values.len() as f64
}

/// Divides by n − 1.
fn deviation(values: &[f64]) -> f64 {
    (squares(values) / (values.len() - 1) as f64).sqrt()
}

/// All alike, up to what adding up fractions of points may do.
fn is_constant(values: &[f64]) -> bool {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    high - low <= 1e-9 * high.abs().max(1.0)
}

/// Pearson's product-moment correlation.
fn correlation(left: &[f64], right: &[f64]) -> Statistic {
    if is_constant(left) || is_constant(right) {
        return Err(Undefined::NoVariance);
    }
    let (left_mean, right_mean) = (mean(left), mean(right));
    let together: f64 = left.iter().zip(right).map(|(x, y)| (x - left_mean) * (y - right_mean)).sum();
    Ok((together / (squares(left) * squares(right)).sqrt()).clamp(-1.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use Answer::{Blank, Points, Waits};

    fn matrix(rows: &[&[Answer]]) -> Matrix {
        Matrix { most: vec![1.0; rows[0].len()], rows: rows.iter().map(|row| row.to_vec()).collect() }
    }

    #[test]
    fn nobody_and_one_person_have_no_reliability() {
        let none = statistics(&Matrix { most: vec![1.0, 1.0], rows: Vec::new() });
        assert_eq!(none.reliability, Err(Undefined::NoPeople));
        assert_eq!(none.mean_total, Err(Undefined::NoPeople));
        let one = statistics(&matrix(&[&[Points(1.0), Points(0.0)]]));
        assert_eq!(one.reliability, Err(Undefined::OnePerson));
        assert_eq!(one.standard_error, Err(Undefined::OnePerson));
        assert_eq!(one.items[0].unwrap().difficulty, Ok(1.0));
        assert_eq!(one.items[0].unwrap().discrimination, Err(Undefined::OnePerson));
    }

    #[test]
    fn a_question_that_mostly_waits_is_left_out_before_any_person_is() {
        let given = statistics(&matrix(&[
            &[Points(1.0), Points(1.0), Waits],
            &[Points(0.0), Points(1.0), Waits],
            &[Points(0.0), Points(0.0), Points(1.0)],
            &[Waits, Points(0.0), Waits],
        ]));
        assert_eq!((given.people, given.left_out), (3, 1));
        assert!(given.items[2].is_none());
        assert_eq!(given.items[1].unwrap().difficulty, Ok(2.0 / 3.0));
    }

    #[test]
    fn who_left_all_blank_is_not_counted_and_a_single_blank_gives_no_points() {
        let given =
            statistics(&matrix(&[&[Points(1.0), Blank], &[Blank, Blank], &[Points(1.0), Points(1.0)]]));
        assert_eq!((given.people, given.left_out), (2, 0));
        assert_eq!(given.items[1].unwrap().difficulty, Ok(0.5));
    }

    #[test]
    fn points_of_several_sizes_are_alpha_and_not_kr20() {
        let rows = [[1.0, 3.0], [0.0, 1.0], [1.0, 2.0]];
        let rows = rows.iter().map(|row| row.iter().map(|points| Points(*points)).collect()).collect();
        let given = statistics(&Matrix { most: vec![1.0, 3.0], rows });
        assert!(!given.is_kr20 && given.kr21.is_none() && given.reliability.is_ok());
    }
}
