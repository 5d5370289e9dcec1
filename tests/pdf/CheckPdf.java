import java.io.File;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;
import org.verapdf.pdfa.validation.profiles.RuleId;
import org.verapdf.pdfa.validation.validators.ValidatorConfig;
import org.verapdf.pdfa.validation.validators.ValidatorConfigBuilder;

/** Validates files against PDF/UA-1: a line for each file that fails, with its failed clauses. */
public class CheckPdf {
    private static final PDFAFlavour UA1 = PDFAFlavour.byFlavourId("ua1");

    public static void main(String[] files) {
        java.util.logging.LogManager.getLogManager().reset();
        VeraGreenfieldFoundryProvider.initialise();
        int failed = 0;
        long assertions = 0;
        for (String file : files) {
            try {
                ValidationResult result = validate(file);
                assertions += result.getTotalAssertions();
                // A validator that looked at nothing has not passed anything.
                if (!result.isCompliant() || result.getTotalAssertions() == 0) {
                    failed++;
                    tell(file, result);
                }
            } catch (Exception | LinkageError error) {
                failed++;
                System.out.println(file + ": " + error);
            }
        }
        System.out.println(files.length + " PDFs, " + assertions + " checks of PDF/UA-1, " + failed + " failed");
        System.exit(failed == 0 && files.length > 0 ? 0 : 1);
    }

    private static ValidationResult validate(String file) throws Exception {
        ValidatorConfig config = new ValidatorConfigBuilder().flavour(UA1).defaultFlavour(UA1).recordPasses(false)
            .maxFails(-1).showErrorMessages(true).maxNumberOfDisplayedFailedChecks(1).build();
        try (PDFAParser parser = Foundries.defaultInstance().createParser(new File(file), UA1);
             PDFAValidator validator = Foundries.defaultInstance().createValidator(config, UA1)) {
            return validator.validate(parser);
        }
    }

    private static void tell(String file, ValidationResult result) {
        List<RuleId> rules = new ArrayList<>(result.getFailedChecks().keySet());
        rules.sort(Comparator.comparing(rule -> rule.getClause() + "-" + rule.getTestNumber()));
        for (RuleId rule : rules) {
            String message = result.getTestAssertions().stream()
                .filter(shown -> shown.getStatus() == TestAssertion.Status.FAILED && shown.getRuleId().equals(rule))
                .map(TestAssertion::getErrorMessage).findFirst().orElse("");
            System.out.println(file + ": clause " + rule.getClause() + ", test " + rule.getTestNumber() + ", "
                + result.getFailedChecks().get(rule) + " times: " + message);
        }
    }
}
