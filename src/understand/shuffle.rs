//! Orders that follow from a seed, the same for ever: so a sheet that was printed in May can be scored in
//! October, by any later packstring.
//!
//! The generator is SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
//! 2014, with the constants of Java's `SplittableRandom`); the shuffle is that of Fisher and Yates as
//! Durstenfeld wrote it down (1964). Neither must ever change: a test pins both.

/// A stream of numbers that follows from its seed.
pub struct Stream {
    state: u64,
}

impl Stream {
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    pub fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `end`, each as likely as the other: what would favor the low ones is drawn again.
    fn below(&mut self, end: u64) -> u64 {
        let fair = u64::MAX - u64::MAX % end;
        loop {
            let drawn = self.next();
            if drawn < fair {
                return drawn % end;
            }
        }
    }

    /// The numbers from 0 up to `count` in an order of this stream.
    pub fn order(&mut self, count: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            order.swap(last, self.below(last as u64 + 1) as usize);
        }
        order
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The values that Rosetta Code gives for SplitMix64 with the seed 1234567 (quoted from memory).
    #[test]
    fn the_stream_is_splitmix64() {
        let mut stream = Stream::new(1_234_567);
        let drawn: Vec<u64> = (0..5).map(|_| stream.next()).collect();
        let expected = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ];
        assert_eq!(drawn, expected);
    }

    #[test]
    fn an_order_holds_each_number_once_and_every_order_comes_up() {
        let mut seen = std::collections::BTreeMap::new();
        for seed in 0..6_000 {
            *seen.entry(Stream::new(seed).order(3)).or_insert(0) += 1;
        }
        assert_eq!(seen.len(), 6);
        assert!(seen.values().all(|count| (850..1150).contains(count)), "{seen:?}");
        assert!(Stream::new(1).order(0).is_empty());
    }
}
