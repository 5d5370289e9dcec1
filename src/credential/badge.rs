//! What a certificate says, as an Open Badges 3.0 credential (1EdTech; `AchievementCredential`).
//!
//! Kept as small as the standard lets it be; what of it goes into the code on paper is in [`super::packed`]. The
//! person's name stands in it in plain words: the certificate is the person's own, and
//! says it above the code too. The certificate's number is the subject's `licenseNumber`, the companion
//! its `narrative`.

use super::{PublicKey, Refused, SecretKey, canonical, proof};
use crate::digest::hex;
use jiff::civil::Date;
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};
use std::borrow::Cow;

/// The contexts that every such credential begins with, in this order.
const CONTEXTS: [&str; 2] =
    ["https://www.w3.org/ns/credentials/v2", "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json"];

const DAY_BEGINS: &str = "T00:00:00Z";
const DAY_ENDS: &str = "T23:59:59Z";
const WITH: (&str, &str) = ("With ", ".");

/// What a certificate says.
#[derive(Clone, Copy, Debug)]
pub struct Claims<'a> {
    /// Who gives it.
    pub agency: &'a str,
    /// What the certificate is called: "Certificate of Completion".
    pub title: &'a str,
    /// As it is printed: `JRHY-4P87`.
    pub number: &'a str,
    /// Whose it is.
    pub holder: &'a str,
    pub companion: Option<&'a str>,
    /// The event's or the award's name.
    pub achievement: &'a str,
    /// What that is, in a sentence.
    pub description: &'a str,
    /// What one has to do for it, in a sentence.
    pub criteria: &'a str,
    /// From when it holds.
    pub date: Date,
    /// The last day on which it holds, where it does not hold for good.
    pub until: Option<Date>,
}

/// A record whose signature fits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// Whose signature it is. Whether that is the program's key is for the caller to know.
    pub key: PublicKey,
    /// Whether the record names this very key as who gives it. Where it does not, the agency's name is
    /// what somebody wrote.
    pub key_is_issuers: bool,
    pub agency: String,
    pub title: String,
    /// The certificate's number, where it has one.
    pub number: Option<String>,
    /// Empty where the record does not say whose it is.
    pub holder: String,
    /// What it says of a companion, as a sentence.
    pub narrative: Option<String>,
    pub achievement: String,
    pub description: String,
    /// The day from which it holds, `2026-05-16`, as the record says it.
    pub date: String,
    /// The last day on which it holds, `2028-05-16`, where the record or its signature ends.
    pub until: Option<String>,
}

/// The signed record of a certificate. The same certificate and key always give the same record.
pub fn sign_given(given: &Claims, key: &SecretKey) -> Value {
    proof::sign(draft(given, &key.public()), key)
}

/// The record before it is signed.
pub fn draft(given: &Claims, key: &PublicKey) -> Map<String, Value> {
    let mut subject = json!({
        "type": ["AchievementSubject"],
        "achievement": {
            "id": name_of(&["achievement", given.agency, given.achievement, given.description]),
            "type": ["Achievement"],
            "name": given.achievement,
            "description": given.description,
            "criteria": {"narrative": given.criteria},
        },
        "identifier": [{
            "type": "IdentityObject",
            "hashed": false,
            "identityHash": given.holder,
            "identityType": "name",
        }],
        "licenseNumber": given.number,
    });
    if let Some(companion) = given.companion {
        subject["narrative"] = narrative(companion).into();
    }
    let mut draft = json!({
        "@context": CONTEXTS,
        "id": name_of(&["certificate", &key.to_string(), given.number]),
        "type": ["VerifiableCredential", "OpenBadgeCredential"],
        "issuer": {"id": key.did(), "type": ["Profile"], "name": given.agency},
        "validFrom": format!("{}{DAY_BEGINS}", given.date),
        "name": given.title,
        "credentialSubject": subject,
    });
    if let Some(until) = given.until {
        draft["validUntil"] = format!("{until}{DAY_ENDS}").into();
    }
    let Value::Object(draft) = draft else { unreachable!("it is written as an object above") };
    draft
}

/// What a record says of a companion.
pub fn narrative(companion: &str) -> String {
    format!("{}{companion}{}", WITH.0, WITH.1)
}

/// What a record of our own form says. Nothing where a part of that form is not there; that there is no more in the
/// record is seen by writing it anew.
pub fn claims(record: &Value) -> Option<Claims<'_>> {
    let text = |at: &str| record.pointer(at).and_then(Value::as_str);
    let day = |at: &str, time: &str| text(at)?.strip_suffix(time)?.parse::<Date>().ok();
    let narrative = text("/credentialSubject/narrative");
    let companion = narrative.map(|it| it.strip_prefix(WITH.0)?.strip_suffix(WITH.1));
    Some(Claims {
        agency: text("/issuer/name")?,
        title: text("/name")?,
        number: text("/credentialSubject/licenseNumber")?,
        holder: text("/credentialSubject/identifier/0/identityHash")?,
        companion: match companion {
            Some(companion) => Some(companion?),
            None => None,
        },
        achievement: text("/credentialSubject/achievement/name")?,
        description: text("/credentialSubject/achievement/description")?,
        criteria: text("/credentialSubject/achievement/criteria/narrative")?,
        date: day("/validFrom", DAY_BEGINS)?,
        until: match record.get("validUntil") {
            Some(_) => Some(day("/validUntil", DAY_ENDS)?),
            None => None,
        },
    })
}

/// Reads a text and tells what it says and who signed it, if it is a record and its signature fits.
pub fn verify(text: &str) -> Result<Checked, Refused> {
    verify_value(&canonical::read(text)?)
}

/// The same of JSON that was read already, as from the register.
pub fn verify_value(record: &Value) -> Result<Checked, Refused> {
    required(&with_list(record))?;
    Ok(read(record, proof::verify(record)?))
}

/// What a record says and whose signature it names, whether that fits or not: for who knows by other means that
/// the record is the one that was signed.
pub fn stated(record: &Value) -> Result<Checked, Refused> {
    required(&with_list(record))?;
    Ok(read(record, proof::named_key(record)?))
}

/// A record with its one proof in a list: Open Badges wants one, and the W3C's data model, by which others sign,
/// takes a proof by itself too.
fn with_list(record: &Value) -> Cow<'_, Value> {
    match record.get("proof") {
        Some(proof @ Value::Object(_)) => {
            let mut listed = record.clone();
            listed["proof"] = json!([proof]);
            Cow::Owned(listed)
        }
        _ => Cow::Borrowed(record),
    }
}

fn read(record: &Value, key: PublicKey) -> Checked {
    let text = |at: &str| record.pointer(at).and_then(Value::as_str).map(str::to_owned);
    let holder = list(&record["credentialSubject"]["identifier"]).iter().find_map(|it| {
        let plain = it["identityType"] == "name" && it["hashed"] == false;
        plain.then(|| it["identityHash"].as_str()).flatten()
    });
    let valid_from = text("/validFrom").unwrap_or_default();
    let day = |time: String| time.split('T').next().unwrap_or_default().to_owned();
    let expires = text("/proof/0/expires").or_else(|| text("/proof/expires"));
    // Days written as years, months and days stand in the order of their letters.
    let until = text("/validUntil").into_iter().chain(expires).map(day).min();
    Checked {
        key_is_issuers: issuer_id(record) == key.did(),
        key,
        agency: text("/issuer/name").unwrap_or_else(|| issuer_id(record).to_owned()),
        title: text("/name").unwrap_or_default(),
        number: text("/credentialSubject/licenseNumber"),
        holder: holder.unwrap_or_default().to_owned(),
        narrative: text("/credentialSubject/narrative"),
        achievement: text("/credentialSubject/achievement/name").unwrap_or_default(),
        description: text("/credentialSubject/achievement/description").unwrap_or_default(),
        date: valid_from.split('T').next().unwrap_or_default().to_owned(),
        until,
    }
}

/// Holds a record against what Open Badges 3.0 demands of every credential: the members that the
/// standard's own schema lists as required, and the form of those that are read here.
pub fn required(record: &Value) -> Result<(), Refused> {
    let Value::Object(_) = record else { return Err(unfit("the whole", "is not an object")) };
    let contexts = list(&record["@context"]);
    if contexts.first().and_then(Value::as_str) != Some(CONTEXTS[0]) || contexts.len() < 2 {
        return Err(unfit(
            "@context",
            "does not begin with the W3C's for credentials and go on with Open Badges'",
        ));
    }
    string(record, "id")?;
    let types = list(&record["type"]);
    if !holds(types, &["VerifiableCredential"])
        || !holds(types, &["OpenBadgeCredential", "AchievementCredential"])
    {
        return Err(unfit("type", "does not name an Open Badges credential"));
    }
    if !record["issuer"].is_string() {
        object(record, "issuer")?;
        string(record, "issuer.id")?;
        typed(record, "issuer", &["Profile"])?;
    }
    string(record, "validFrom")?;
    if !record["name"].is_null() {
        string(record, "name")?;
    }
    object(record, "credentialSubject")?;
    typed(record, "credentialSubject", &["AchievementSubject"])?;
    object(record, "credentialSubject.achievement")?;
    string(record, "credentialSubject.achievement.id")?;
    typed(record, "credentialSubject.achievement", &["Achievement"])?;
    for name in ["name", "description"] {
        string(record, &format!("credentialSubject.achievement.{name}"))?;
    }
    object(record, "credentialSubject.achievement.criteria")?;
    for identity in list(&record["credentialSubject"]["identifier"]) {
        identity_object(identity)?;
    }
    if let Some(proofs) = record.get("proof") {
        let proofs = proofs.as_array().ok_or_else(|| unfit("proof", "is not a list"))?;
        if proofs.iter().any(|proof| !proof["type"].is_string()) {
            return Err(unfit("proof", "has no type"));
        }
    }
    Ok(())
}

/// The kinds of identity that Open Badges 3.0 knows (`IdentifierTypeEnum`); others begin with `ext:`.
const IDENTITIES: [&str; 19] = [
    "name",
    "sourcedId",
    "systemId",
    "productId",
    "userName",
    "accountId",
    "emailAddress",
    "nationalIdentityNumber",
    "isbn",
    "issn",
    "lisSourcedId",
    "oneRosterSourcedId",
    "sisSourcedId",
    "ltiContextId",
    "ltiDeploymentId",
    "ltiToolId",
    "ltiPlatformId",
    "ltiUserId",
    "identifier",
];

fn identity_object(identity: &Value) -> Result<(), Refused> {
    const AT: &str = "credentialSubject.identifier";
    const MEMBERS: [&str; 5] = ["type", "hashed", "identityHash", "identityType", "salt"];
    let members = identity.as_object().ok_or_else(|| unfit(AT, "is not an object"))?;
    let kind = identity["identityType"].as_str();
    let fits = identity["type"] == "IdentityObject"
        && identity["hashed"].is_boolean()
        && identity["identityHash"].is_string()
        && kind.is_some_and(|kind| IDENTITIES.contains(&kind) || kind.starts_with("ext:"))
        && members.keys().all(|name| MEMBERS.contains(&name.as_str()));
    if fits { Ok(()) } else { Err(unfit(AT, "does not say an identity as the standard has it")) }
}

fn issuer_id(record: &Value) -> &str {
    let issuer = &record["issuer"];
    issuer.as_str().or_else(|| issuer["id"].as_str()).unwrap_or_default()
}

fn unfit(member: &str, why: &'static str) -> Refused {
    Refused::NotACredential { member: member.to_owned(), why }
}

/// The member at a path with dots between its steps.
fn at<'r>(record: &'r Value, path: &str) -> &'r Value {
    path.split('.').fold(record, |value, name| &value[name])
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

fn holds(types: &[Value], one_of: &[&str]) -> bool {
    types.iter().filter_map(Value::as_str).any(|given| one_of.contains(&given))
}

fn typed(record: &Value, path: &str, one_of: &[&str]) -> Result<(), Refused> {
    let types = list(&at(record, path)["type"]);
    if holds(types, one_of) { Ok(()) } else { Err(unfit(&format!("{path}.type"), "is not what it must be")) }
}

fn object(record: &Value, path: &str) -> Result<(), Refused> {
    if at(record, path).is_object() { Ok(()) } else { Err(unfit(path, "is missing")) }
}

fn string(record: &Value, path: &str) -> Result<(), Refused> {
    match at(record, path) {
        Value::String(_) => Ok(()),
        Value::Null => Err(unfit(path, "is missing")),
        _ => Err(unfit(path, "is not a text")),
    }
}

/// A name that follows from its parts: a UUID of version 8 (RFC 9562) out of SHA-256, each part with
/// its length before it so that no two lists of parts give one name.
fn name_of(parts: &[&str]) -> String {
    let mut hash = Sha256::new();
    hash.update(b"packstring credential 1\n");
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part.as_bytes());
    }
    let mut id: [u8; 16] = hash.finalize()[..16].try_into().expect("a digest has more than 16 bytes");
    id[6] = id[6] & 0x0f | 0x80;
    id[8] = id[8] & 0x3f | 0x80;
    let hex = hex(id);
    format!("urn:uuid:{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{folder, given, key, rows};

    #[test]
    fn a_record_says_what_the_certificate_says() {
        let key = key();
        let checked = verify(&canonical::text(&sign_given(&given(), &key))).unwrap();
        let expected = Checked {
            key: key.public(),
            key_is_issuers: true,
            agency: "Juniper Basin Open Lands".into(),
            title: "Certificate of Completion".into(),
            number: Some("JRHY-4P87".into()),
            holder: "Elena Márquez".into(),
            narrative: Some("With Biscuit.".into()),
            achievement: "North Camp Spring Workshop".into(),
            description: "Trail Rider Stewards, 2026".into(),
            date: "2026-05-16".into(),
            until: None,
        };
        assert_eq!(checked, expected);
    }

    #[test]
    fn a_record_is_small_and_the_same_every_time() {
        let key = key();
        let record = canonical::text(&sign_given(&given(), &key));
        assert_eq!(record, canonical::text(&sign_given(&given(), &key)));
        // 1,465 bytes is what a symbol of version 27 takes at level L (ISO/IEC 18004).
        assert!(record.len() <= 1465, "{} bytes: {record}", record.len());
    }

    #[test]
    fn a_record_with_another_issuer_than_its_key_is_told_apart() {
        let key = key();
        let mut other = draft(&given(), &key.public());
        other["issuer"]["id"] = SecretKey::from_seed([8; 32]).public().did().into();
        assert!(!verify_value(&proof::sign(other, &key)).unwrap().key_is_issuers);
    }

    /// The cases were judged by the standard's schema with a JSON Schema library.
    #[test]
    fn what_open_badges_demands_is_demanded() {
        let mut looked_at = 0;
        for row in rows("ob3_schema.csv") {
            let text = std::fs::read_to_string(folder().join(&row["file"])).unwrap();
            let fits = required(&canonical::read(&text).unwrap());
            assert_eq!(fits.is_ok(), row["expected"] == "valid", "{}: {fits:?}", row["id"]);
            looked_at += 1;
        }
        assert_eq!(looked_at, 27);
    }

    #[test]
    fn our_own_record_has_every_required_member() {
        let record = sign_given(&given(), &key());
        let parts: [(&str, &Value); 6] = [
            ("AchievementCredential", &record),
            ("Profile", &record["issuer"]),
            ("AchievementSubject", &record["credentialSubject"]),
            ("Achievement", &record["credentialSubject"]["achievement"]),
            ("IdentityObject", &record["credentialSubject"]["identifier"][0]),
            ("Proof", &record["proof"][0]),
        ];
        let rows = rows("ob3_required.csv");
        for (class, part) in parts {
            let row = rows.iter().find(|row| row["class"] == class).unwrap();
            for member in row["required_properties"].split(' ') {
                assert!(!part[member].is_null(), "{class} has no {member}");
            }
        }
    }

    #[test]
    fn a_record_that_is_not_one_says_what_is_missing() {
        let told = |text: &str| verify(text).unwrap_err().to_string();
        assert!(told("{}").contains("@context"));
        assert!(told("[]").contains("not an object"));
        assert!(told("\"x\"").contains("not an object"));
        let mut record = sign_given(&given(), &key());
        record["credentialSubject"]["achievement"]["name"] = json!(7);
        assert!(told(&canonical::text(&record)).contains("credentialSubject.achievement.name is not a text"));
    }
}
